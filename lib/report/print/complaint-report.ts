/**
 * The report of a complaint, in the order in which it was recorded: the patient's words and marks, the examiner's rating, when the
 * measurement was first shown, then the measured answer beside both, what was concluded, and what was added later.
 */

import type { ComplaintAnswer } from '#lib/report/complaint-answer.ts';
import { DISTRESS_NOTE, HOW_OFTEN_WORDS } from '#lib/report/complaint-words.ts';
import type { Block, Figure, PrintedReport } from '#lib/report/pdf/blocks.ts';
import type { ReportView } from '#lib/report/report-views.ts';
import { viewWords } from '#lib/report/view-words.ts';
import type { Complaint } from '#shared/case.ts';
import type { Comparison } from '#shared/comparison.ts';
import { zoneLabel } from '#shared/zones.ts';
import { markedPhotoSvg } from './marked-photo.ts';
import { answerBlocks } from './print-answer.ts';
import { conclusionBlocks } from './print-conclusion.ts';
import { gateBlocks } from './print-gate.ts';
import { cautionBlocks, limitBlocks } from './print-limits.ts';
import { provenanceBlocks } from './print-provenance.ts';
import { blindingBlocks, ratingBlocks } from './print-rating.ts';
import { framed, momentText, type Stamp, signatureBlocks } from './stamp.ts';
import { type Subject, subjectBlocks } from './subject.ts';

export type ComplaintContent = Readonly<{
  subject: Subject;
  complaint: Complaint;
  comparison: Comparison;
  answer: ComplaintAnswer;
  /** Pictures as taken of the views compared. */
  views: readonly ReportView[];
  /** The photograph that carries the marks, upright; null when it is not there. */
  marked: Uint8Array | null;
  /** The visit of the photograph that the patient calls themselves, as its day and label; null when none was named. */
  callsMe: string | null;
}>;

export const COMPLAINT_KIND = 'Complaint report';

/** Throws RangeError for a complaint that was not heard or not rated: `complaintAnswer` lets none through. */
export function complaintReport(content: ComplaintContent, stamp: Stamp): PrintedReport {
  const { subject, complaint, comparison, answer, views } = content;
  const name = `case ${subject.code}`;
  return {
    ...framed(stamp, COMPLAINT_KIND, name),
    blocks: [
      { kind: 'heading', level: 1, text: `${COMPLAINT_KIND}: ${name}` },
      ...subjectBlocks(subject),
      { kind: 'paragraph', words: [{ text: 'Complaint of ', bold: true }, complaint.on] },
      { kind: 'paragraph', look: 'lead', words: answer.statement.find(({ about }) => about === 'agreement')?.text ?? '' },
      ...patientBlocks(content),
      ...blindingBlocks(complaint, answer.resultsSeenBefore),
      ...ratingBlocks(complaint, answer.resultsSeenBefore),
      ...answerBlocks(answer),
      ...conclusionBlocks(complaint, answer),
      ...views.flatMap(takenBlocks),
      ...cautionBlocks(comparison),
      {
        kind: 'box',
        blocks: [
          { kind: 'heading', level: 2, text: 'On distress about appearance' },
          { kind: 'paragraph', words: DISTRESS_NOTE },
        ],
      },
      ...additionBlocks(complaint),
      ...gateBlocks(comparison),
      ...limitBlocks(comparison),
      ...provenanceBlocks(comparison, { names: false }),
      ...signatureBlocks(stamp),
    ],
  };
}

function patientBlocks({ complaint: { patient }, marked, callsMe }: ComplaintContent): Block[] {
  if (!patient) throw new RangeError('a complaint is reported once the patient was heard');
  const { words, severity, howOften, zones, marks } = patient.part;
  const paragraphs = words.split(/\n\s*\n?/).filter((part) => part.trim() !== '');
  const where = zones.length > 0 ? zones.map(zoneLabel).join('; ') : 'no single zone';
  return [
    { kind: 'heading', level: 2, text: 'The patient, in their own words' },
    ...paragraphs.map(
      (text, k): Block => ({
        kind: 'paragraph',
        look: 'quote',
        words: `${k === 0 ? '\u201c' : ''}${text}${k === paragraphs.length - 1 ? '\u201d' : ''}`,
      }),
    ),
    {
      kind: 'list',
      items: [
        [{ text: 'How much it troubles them: ', bold: true }, `${severity} of 10`],
        [{ text: 'How often they think of it: ', bold: true }, HOW_OFTEN_WORDS[howOften]],
        [{ text: 'Where they point: ', bold: true }, where],
        [{ text: 'The photograph they call \u201cme\u201d: ', bold: true }, callsMe ?? 'none was named'],
      ],
    },
    ...(marked
      ? [
          {
            kind: 'figures',
            across: 2,
            mostHeight: 290,
            figures: [
              {
                picture: {
                  svg: markedPhotoSvg(marked, marks),
                  alt: `The patient\u2019s own photograph with ${marks.length === 1 ? 'one mark' : `${marks.length} marks`} where they pointed. Zones named: ${where}.`,
                },
                caption:
                  marks.length > 0
                    ? 'Marked by the patient before any result was shown.'
                    : 'Shown to the patient; they marked no single place.',
              },
            ],
          } as const,
        ]
      : []),
  ];
}

function takenBlocks({ view, pictures }: ReportView): Block[] {
  const figures = (
    [
      ['beforeAsTaken', 'Before, as taken'],
      ['afterAsTaken', 'After, as taken'],
    ] as const
  ).flatMap(([part, caption]): Figure[] => {
    const jpeg = pictures[part];
    return jpeg ? [{ picture: { jpeg, alt: `Photograph, ${viewWords(view).toLowerCase()}: ${caption.toLowerCase()}` }, caption }] : [];
  });
  return figures.length > 0
    ? [
        { kind: 'heading', level: 2, text: viewWords(view) },
        { kind: 'figures', figures, across: 2, mostHeight: 250 },
      ]
    : [];
}

function additionBlocks({ additions }: Complaint): Block[] {
  return additions.length === 0
    ? []
    : [
        { kind: 'heading', level: 2, text: 'Added later' },
        { kind: 'list', items: additions.map(({ at, by, text }) => [{ text: `${momentText(at)}, ${by}: `, bold: true }, text]) },
      ];
}
