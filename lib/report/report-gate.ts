/** The report's account of the gate: what was noted or refused in full, what passed in one line for each photograph. */
import type { Check, Comparison } from '#shared/comparison.ts';
import { withUnit } from '#shared/numbers.ts';
import { escapeText } from './markup.ts';
import { viewWords } from './view-words.ts';

const VERDICT_WORDS: Readonly<Record<Check['verdict'], string>> = {
  pass: '\u2713 passed',
  caution: '\u25b3 noted',
  refuse: '\u2715 refused',
};
const OF_WORDS: Readonly<Record<Check['of'], string>> = { before: 'Before', after: 'After', pair: 'Pair', photo: 'Photograph' };

/** The reasons of a refused pair, to stand at the head of the report. */
export function refusals(checks: readonly Check[]): string {
  const refused = checks.filter((check) => check.verdict === 'refuse');
  return `<h2>Why not</h2>${refused.map((check) => `<p class="note">${escapeText(check.message)} <strong>${escapeText(check.advice)}</strong></p>`).join('')}`;
}

export function gateSection({ gate }: Pick<Comparison, 'gate'>): string {
  if (gate.checks.length === 0) return '';
  const noted = [
    ...gate.checks.filter(({ verdict }) => verdict === 'refuse'),
    ...gate.checks.filter(({ verdict }) => verdict === 'caution'),
  ];
  const rows = noted.map(
    (check) =>
      `<tr><td>${VERDICT_WORDS[check.verdict]}</td><td>${escapeText(whose(check))}</td>` +
      `<td>${escapeText([check.message, check.advice].filter(Boolean).join(' '))}</td><td class="n">${valueText(check)}</td><td class="n">${limitText(check)}</td></tr>`,
  );
  const table =
    rows.length === 0
      ? '<p>All checks passed.</p>'
      : `<table><thead><tr><th></th><th>Of</th><th>Found</th><th class="n">Value</th><th class="n">Limits</th></tr></thead><tbody>${rows.join('\n')}</tbody></table>`;
  return `<h2>Checks of the photographs</h2>${table}${passed(gate.checks.filter(({ verdict }) => verdict === 'pass'))}`;
}

/** "Before, from the front: focus 0.19 mm (\u2264 0.35), ..." */
function passed(checks: readonly Check[]): string {
  const groups = new Map<string, string[]>();
  for (const check of checks) {
    const value = valueText(check);
    const limit = limitText(check);
    const said = [check.id.replaceAll('-', ' '), value, value && limit ? `(${limit})` : ''].filter(Boolean).join(' ');
    groups.set(whose(check), [...(groups.get(whose(check)) ?? []), said]);
  }
  const lines = [...groups].map(([of, said]) => `<li><strong>${escapeText(of)}:</strong> ${said.join(', ')}</li>`);
  return lines.length === 0 ? '' : `<h3>Passed, each with its limits</h3><ul class="small">${lines.join('\n')}</ul>`;
}

const whose = (check: Check): string => `${OF_WORDS[check.of]}, ${viewWords(check.view).toLowerCase()}`;

const short = (value: number): string => String(Number(value.toPrecision(3)));
const valueText = ({ value, unit }: Check): string => (value === null ? '' : escapeText(withUnit(short(value), unit)));

function limitText({ limit }: Check): string {
  const sign = limit.sense === 'at-most' ? '\u2264' : '\u2265';
  return [limit.caution, limit.refuse].flatMap((bound) => (bound === null ? [] : [`${sign} ${short(bound)}`])).join(' / ');
}
