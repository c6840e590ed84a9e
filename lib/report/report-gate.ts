/** The report's account of the gate: what was noted or refused in full, what passed in one line for each photograph. */
import type { Check, Comparison } from '#shared/comparison.ts';
import { checkLimits, checkValue, notedChecks, passedChecks, VERDICT_WORDS, whoseCheck } from './gate-words.ts';
import { escapeText } from './markup.ts';

/** The reasons of a refused pair, to stand at the head of the report. */
export function refusals(checks: readonly Check[]): string {
  const refused = checks.filter((check) => check.verdict === 'refuse');
  return `<h2>Why not</h2>${refused.map((check) => `<p class="note">${escapeText(check.message)} <strong>${escapeText(check.advice)}</strong></p>`).join('')}`;
}

export function gateSection({ gate }: Pick<Comparison, 'gate'>): string {
  if (gate.checks.length === 0) return '';
  const rows = notedChecks(gate.checks).map(
    (check) =>
      `<tr><td>${VERDICT_WORDS[check.verdict]}</td><td>${escapeText(whoseCheck(check))}</td>` +
      `<td>${escapeText([check.message, check.advice].filter(Boolean).join(' '))}</td><td class="n">${escapeText(checkValue(check))}</td><td class="n">${checkLimits(check)}</td></tr>`,
  );
  const table =
    rows.length === 0
      ? '<p>All checks passed.</p>'
      : `<table><thead><tr><th></th><th>Of</th><th>Found</th><th class="n">Value</th><th class="n">Limits</th></tr></thead><tbody>${rows.join('\n')}</tbody></table>`;
  return `<h2>Checks of the photographs</h2>${table}${passed(gate.checks)}`;
}

function passed(checks: readonly Check[]): string {
  const lines = passedChecks(checks).map(({ whose, said }) => `<li><strong>${escapeText(whose)}:</strong> ${escapeText(said)}</li>`);
  return lines.length === 0 ? '' : `<h3>Passed, each with its limits</h3><ul class="small">${lines.join('\n')}</ul>`;
}
