/** The measured answer in print: patient, examiner and measurement side by side for each zone, then as a statement and in sentences. */

import type { ComplaintAnswer } from '#lib/report/complaint-answer.ts';
import { type AnswerRow, tellingMeasures } from '#lib/report/complaint-rows.ts';
import { AGREEMENT_SHAPES, AGREEMENT_WORDS, type Agreement } from '#lib/report/complaint-words.ts';
import type { Block, Row } from '#lib/report/pdf/blocks.ts';
import { FINDING_SHAPES } from '#shared/finding-words.ts';

export function answerBlocks({ rows, statement, early, usable }: ComplaintAnswer): Block[] {
  return [
    { kind: 'heading', level: 2, text: 'Patient, examiner and measurement' },
    ...(early ? [{ kind: 'paragraph', look: 'note', words: early.text } as const] : []),
    ...(usable ? [] : [{ kind: 'paragraph', look: 'note', words: statement.find(({ about }) => about === 'trust')?.text ?? '' } as const]),
    ...(rows.length > 0 ? [answerTable(rows)] : []),
    {
      kind: 'paragraph',
      look: 'small',
      words:
        'Loss is negative; left and right are the subject\u2019s. Detectable: the smallest change that can be told from error; within error, a smaller one may have happened. ' +
        '= agree, \u2260 differ, ? cannot be said, between patient and examiner, patient and measurement, examiner and measurement, and all together.',
    },
    { kind: 'heading', level: 2, text: 'Statement' },
    ...statement.map(({ text }) => ({ kind: 'paragraph', words: text }) as const),
    ...(rows.length > 0
      ? ([
          { kind: 'heading', level: 3, text: 'Zone by zone' },
          { kind: 'list', look: 'small', items: rows.map(({ sentence }) => sentence) },
        ] as const)
      : []),
  ];
}

const answerTable = (rows: readonly AnswerRow[]): Block => ({
  kind: 'table',
  rowHeads: 0,
  columns: [
    { head: 'Zone', share: 72 },
    { head: 'Patient', share: 44 },
    { head: 'Examiner', share: 62 },
    { head: 'Measured (95 % interval)', share: 113 },
    { head: 'Detectable', share: 55 },
    { head: 'Finding', share: 64 },
    { head: 'P\u2013E', share: 20, align: 'centre' },
    { head: 'P\u2013M', share: 21, align: 'centre' },
    { head: 'E\u2013M', share: 21, align: 'centre' },
    { head: 'Together', share: 54 },
  ],
  rows: rows.map(answerRow),
});

function answerRow(row: AnswerRow): Row {
  const telling = tellingMeasures(row);
  const shape = (agreement: Agreement): string => AGREEMENT_SHAPES[agreement];
  return {
    bold: row.finding === 'beyond-error',
    cells: [
      row.label,
      row.named ? 'points here' : '',
      row.gradeWords,
      row.whyNot ?? telling.map(({ label, valueText, intervalText }) => `${label} ${valueText} (${intervalText})`).join('; '),
      telling.map(({ limitText }) => limitText).join('; '),
      `${FINDING_SHAPES[row.finding]} ${row.findingWords}`,
      shape(row.patientExaminer),
      shape(row.patientMeasurement),
      shape(row.examinerMeasurement),
      `${shape(row.overall)} ${AGREEMENT_WORDS[row.overall]}`,
    ],
  };
}
