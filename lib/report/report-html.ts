/**
 * The report: one HTML file that needs nothing else. No scripts, no outside address, pictures within; printable on A4.
 * Everything that came with a file or from a user is escaped, and the page's own policy forbids it to load anything.
 */
import { type Check, type Comparison, METRIC_IDS, METRICS, type MetricId } from '#shared/comparison.ts';
import { withUnit } from '#shared/numbers.ts';
import { scaleSentence } from './comparison-table.ts';
import { headline } from './headline.ts';
import { escapeText } from './markup.ts';
import { REPORT_STYLE } from './report-style.ts';
import { type ReportView, viewSection, viewWords } from './report-views.ts';
import { metricsSection, zonesSection } from './report-zones.ts';

export type ReportOptions = Readonly<{
  /** The case's code or title. */
  title: string;
  views: readonly ReportView[];
}>;

const TABLED: readonly MetricId[] = ['volumeMl', 'lightnessDelta'];
/** A table wider than this does not fit on A4 upright. */
const COLUMNS_PER_TABLE = 5;

/** The whole page as text. Same comparison and pictures, same text. */
export function reportHtml(comparison: Comparison, { title, views }: ReportOptions): string {
  const others = METRIC_IDS.filter((id) => !TABLED.includes(id));
  const heads = Object.fromEntries(METRIC_IDS.map((id) => [id, METRICS[id].label]));
  const metricTables = [others.slice(0, COLUMNS_PER_TABLE), others.slice(COLUMNS_PER_TABLE, 2 * COLUMNS_PER_TABLE), others.slice(2 * COLUMNS_PER_TABLE)];
  return `<!doctype html>
<html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src 'unsafe-inline'">
<meta name="viewport" content="width=device-width, initial-scale=1"><meta name="referrer" content="no-referrer">
<title>${escapeText(title)} - Ebbline comparison</title><style>${REPORT_STYLE}</style></head><body>
<header><p class="kind">Ebbline comparison of photographs</p><h1>${escapeText(title)}</h1>
<p class="headline">${escapeText(headline(comparison))}</p></header>
${comparison.gate.comparable ? '' : refusals(comparison.gate.checks)}
${zonesSection(comparison)}
${comparison.cautions.length > 0 ? `<section class="cautions"><h3>To be kept in mind</h3><ul>${comparison.cautions.map(({ text }) => `<li>${escapeText(text)}</li>`).join('')}</ul></section>` : ''}
${views.map((view) => viewSection(comparison, view)).join('\n')}
${metricTables.map((columns) => metricsSection(comparison, columns, heads)).join('\n')}
${gateSection(comparison.gate.checks)}
${comparison.scale ? `<h2>Scale</h2><p>${escapeText(scaleSentence(comparison.scale))}</p>` : ''}
${inputsSection(comparison)}
${versionsSection(comparison)}
</body></html>
`;
}

function refusals(checks: readonly Check[]): string {
  const refused = checks.filter((check) => check.verdict === 'refuse');
  return `<h2>Why not</h2>${refused.map((check) => `<p class="note">${escapeText(check.message)} <strong>${escapeText(check.advice)}</strong></p>`).join('')}`;
}

const VERDICT_WORDS: Readonly<Record<Check['verdict'], string>> = { pass: '\u2713 passed', caution: '\u25b3 noted', refuse: '\u2715 refused' };

function gateSection(checks: readonly Check[]): string {
  if (checks.length === 0) return '';
  const order = { refuse: 0, caution: 1, pass: 2 } as const;
  const rows = [...checks].sort((a, b) => order[a.verdict] - order[b.verdict]);
  return `<h2>Checks of the photographs</h2><table><thead><tr><th></th><th>Of</th><th>Found</th><th class="n">Value</th><th class="n">Limits</th></tr></thead><tbody>
${rows
  .map(
    (check) =>
      `<tr><td>${VERDICT_WORDS[check.verdict]}</td><td>${escapeText(`${check.of}, ${viewWords(check.view).toLowerCase()}`)}</td>` +
      `<td>${escapeText([check.message, check.advice].filter(Boolean).join(' '))}</td><td class="n">${valueText(check)}</td><td class="n">${limitText(check)}</td></tr>`,
  )
  .join('\n')}</tbody></table>`;
}

const short = (value: number): string => String(Number(value.toPrecision(3)));
const valueText = ({ value, unit }: Check): string => (value === null ? '' : escapeText(withUnit(short(value), unit)));

function limitText({ limit }: Check): string {
  const sign = limit.sense === 'at-most' ? '\u2264' : '\u2265';
  return [limit.caution, limit.refuse].flatMap((bound) => (bound === null ? [] : [`${sign} ${short(bound)}`])).join(' / ');
}

function inputsSection({ inputs }: Comparison): string {
  const rows = inputs.map(
    (input) =>
      `<tr><td>${input.role}</td><td>${escapeText(viewWords(input.view))}</td><td>${escapeText(input.name)}<br><span class="hash">${input.sha256}</span></td>` +
      `<td>${escapeText(input.facts.takenAt?.replace('T', ' ') ?? 'not recorded')}</td><td>${escapeText(input.facts.camera ?? 'not recorded')}</td>` +
      `<td class="n">${input.pose.yawDeg.value.toFixed(1)}° / ${input.pose.pitchDeg.value.toFixed(1)}° / ${input.pose.rollDeg.value.toFixed(1)}°</td><td class="n">${Math.round(input.interpupillaryPx)} px</td></tr>`,
  );
  return `<h2>Photographs</h2><table><thead><tr><th></th><th>View</th><th>File and its SHA-256</th><th>Taken</th><th>Camera</th><th class="n">Yaw / pitch / roll</th><th class="n">Between pupils</th></tr></thead><tbody>${rows.join('\n')}</tbody></table>`;
}

function versionsSection({ versions, schema, errorSource }: Comparison): string {
  const models = Object.entries(versions.models).map(([name, hash]) => `<li>${escapeText(name)} <span class="hash">${escapeText(hash)}</span></li>`);
  return `<h2>Made with</h2><ul><li>Ebbline ${escapeText(versions.ebbline)}, schema ${escapeText(schema)}, landmark engine ${escapeText(versions.landmarkEngine)}</li>
<li>Parameters <span class="hash">${escapeText(versions.parametersSha256)}</span></li>${models.join('')}
<li>Standard errors from ${errorSource === 'validation' ? "the program's validation" : "repeated photographs with the user's own set-up"}</li></ul>`;
}
