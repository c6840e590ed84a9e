/**
 * The report: one HTML file that needs nothing else. No scripts, no outside address, pictures within; printable on A4.
 * Everything that came with a file or from a user is escaped, and the page's own policy forbids it to load anything.
 */
import type { Comparison } from '#shared/comparison.ts';
import type { Evidence } from '#shared/field.ts';
import { scaleSentence } from './comparison-table.ts';
import { errorSourceWords } from './error-source.ts';
import { headline } from './headline.ts';
import { escapeText } from './markup.ts';
import { evidenceSection } from './report-evidence.ts';
import { gateSection, refusals } from './report-gate.ts';
import { metricsSection } from './report-metrics.ts';
import { REPORT_STYLE } from './report-style.ts';
import { type ReportView, viewSection } from './report-views.ts';
import { zonesSection } from './report-zones.ts';
import { viewWords } from './view-words.ts';

export type ReportOptions = Readonly<{
  /** The case's code or title. */
  title: string;
  views: readonly ReportView[];
  /** Of each zone; null when nothing was measured. */
  evidence?: Evidence | null;
}>;

/** The whole page as text. Same comparison and pictures, same text. */
export function reportHtml(comparison: Comparison, { title, views, evidence = null }: ReportOptions): string {
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
${evidence ? evidenceSection(comparison, evidence) : ''}
${metricsSection(comparison)}
${gateSection(comparison)}
${comparison.scale ? `<h2>Scale</h2><p>${escapeText(scaleSentence(comparison.scale))}</p>` : ''}
${inputsSection(comparison)}
${versionsSection(comparison)}
</body></html>
`;
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

function versionsSection(comparison: Comparison): string {
  const { versions, schema } = comparison;
  const models = Object.entries(versions.models).map(
    ([name, hash]) => `<li>${escapeText(name)} <span class="hash">${escapeText(hash)}</span></li>`,
  );
  return `<h2>Made with</h2><ul><li>Ebbline ${escapeText(versions.ebbline)}, schema ${escapeText(schema)}, landmark engine ${escapeText(versions.landmarkEngine)}</li>
<li>Parameters <span class="hash">${escapeText(versions.parametersSha256)}</span></li>${models.join('')}
<li>Standard errors ${escapeText(errorSourceWords(comparison))}</li></ul>`;
}
