/** The printed account of the gate: refusals with their reasons, what was noted, what passed. */

import { checkLimits, checkValue, notedChecks, passedChecks, VERDICT_WORDS, whoseCheck } from '#lib/report/gate-words.ts';
import type { Block } from '#lib/report/pdf/blocks.ts';
import type { Comparison } from '#shared/comparison.ts';

/** Nothing when the pair is comparable. */
export function refusalBlocks({ gate }: Pick<Comparison, 'gate'>): Block[] {
  if (gate.comparable) return [];
  return [
    { kind: 'heading', level: 2, text: 'Why not' },
    ...gate.checks
      .filter(({ verdict }) => verdict === 'refuse')
      .map(({ message, advice }) => ({ kind: 'paragraph', look: 'note', words: [`${message} `, { text: advice, bold: true }] }) as const),
  ];
}

export function gateBlocks({ gate }: Pick<Comparison, 'gate'>): Block[] {
  if (gate.checks.length === 0) return [];
  const noted = notedChecks(gate.checks);
  const passed = passedChecks(gate.checks);
  return [
    { kind: 'heading', level: 2, text: 'Checks of the photographs' },
    noted.length === 0
      ? { kind: 'paragraph', words: 'All checks passed.' }
      : {
          kind: 'table',
          rowHeads: 1,
          columns: [
            { head: 'Verdict', share: 1 },
            { head: 'Of', share: 1.7 },
            { head: 'Found', share: 5 },
            { head: 'Value', share: 0.9, align: 'right' },
            { head: 'Limits', share: 1.2, align: 'right' },
          ],
          rows: noted.map((check) => ({
            cells: [
              VERDICT_WORDS[check.verdict],
              whoseCheck(check),
              [check.message, check.advice].filter(Boolean).join(' '),
              checkValue(check),
              checkLimits(check),
            ],
          })),
        },
    ...(passed.length > 0
      ? ([
          { kind: 'heading', level: 3, text: 'Passed, each with its limits' },
          { kind: 'list', look: 'small', items: passed.map(({ whose, said }) => [{ text: `${whose}: `, bold: true }, said]) },
        ] as const)
      : []),
  ];
}
