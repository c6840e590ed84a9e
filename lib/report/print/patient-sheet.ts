/**
 * One page for the patient, in plain words and large print: what was compared, what was found, what to expect, when to come back, when to
 * get help at once. It says no more than the findings do: what lies within error is never called unchanged.
 */

import { byEvidence } from '#lib/report/by-evidence.ts';
import type { Block, PrintedReport, Words } from '#lib/report/pdf/blocks.ts';
import { type WrittenPdf, writePdf } from '#lib/report/pdf/write-pdf.ts';
import type { Conclusion, Treatment } from '#shared/case.ts';
import type { Comparison } from '#shared/comparison.ts';
import { addDays, daysBetween } from '#shared/days.ts';
import type { TradeFacts } from '#shared/practice.ts';
import { plainChange, plainDay, plainZone } from './plain-words.ts';
import { framed, momentText, type Stamp } from './stamp.ts';
import type { Subject } from './subject.ts';

export type SheetContent = Readonly<{
  subject: Subject;
  comparison: Comparison;
  /** What a complaint was concluded with; null where there is none. */
  conclusion: Conclusion | null;
  /** The practice's own figures: days to the reviews, days of water loss. */
  facts: TradeFacts;
}>;

export const SHEET_KIND = 'Your photographs';
/** Places named one by one; the others are counted. */
const MOST_NAMED = 5;
/** Sizes of the text against that of a report of record, the largest that fits is taken: 14.3 to 12.1 pt. */
const SCALES = [1.5, 1.4, 1.33, 1.27] as const;

/** One page, whatever the input. */
export async function patientSheet(content: SheetContent, stamp: Stamp): Promise<WrittenPdf> {
  for (const textScale of SCALES) {
    const written = await writePdf({ ...sheetReport(content, stamp), textScale });
    if (written.pages === 1) return written;
  }
  throw new RangeError('the sheet for the patient no longer fits on one page: its words have grown');
}

export function sheetReport(content: SheetContent, stamp: Stamp): PrintedReport {
  const { subject } = content;
  return {
    ...framed(stamp, SHEET_KIND, `case ${subject.code}`),
    blocks: [
      { kind: 'heading', level: 1, text: 'What your photographs show' },
      {
        kind: 'paragraph',
        words: [
          ...(subject.name ? [{ text: `${shortened(subject.name)}. `, bold: true }] : []),
          `We took photographs of your face on ${plainDay(subject.before.on)} and on ${plainDay(subject.after.on)}. We lined them up, made the light the same, and looked for change in each part of your face.`,
        ],
      },
      { kind: 'heading', level: 2, text: 'What we found' },
      ...foundBlocks(content),
      { kind: 'heading', level: 2, text: 'What comes next' },
      { kind: 'list', items: nextItems(content) },
      {
        kind: 'box',
        tone: 'warning',
        blocks: [
          { kind: 'heading', level: 2, text: 'Get help at once' },
          {
            kind: 'paragraph',
            words:
              'After an injection, sudden pain, skin that turns white or blotchy, or a change in how you see is an emergency. Do not wait for us. Call for help right away.',
          },
        ],
      },
      {
        kind: 'paragraph',
        words:
          'Does the way you look weigh on you? Please tell us. A talk with someone who is trained for this can help you more than another treatment.',
      },
      {
        kind: 'paragraph',
        look: 'small',
        words: `This sheet helps to keep a record. It does not say what you have or why your face changed. Ask us about anything that is not clear.${
          stamp.signed ? ` Signed by ${shortened(stamp.signed.by)}, ${momentText(stamp.signed.at)}.` : ''
        }`,
      },
    ],
  };
}

function foundBlocks({ comparison }: SheetContent): Block[] {
  const { gate, control, zones } = comparison;
  if (!gate.comparable)
    return [
      {
        kind: 'paragraph',
        words:
          'The photographs of the two days are too unlike each other to compare. So we have no result yet. We would like to take new ones.',
      },
    ];
  if (!control.trusted)
    return [
      {
        kind: 'paragraph',
        words:
          'We can not trust this result: parts of your face that should stay the same seem to have changed too. We would like to take new photographs.',
      },
    ];
  const judged = byEvidence(zones.filter((zone) => !zone.reference && zone.assessable && zone.finding !== 'not-assessable'));
  if (judged.length === 0)
    return [{ kind: 'paragraph', words: 'No part of your face could be judged. We would like to take new photographs.' }];
  const beyond = judged.filter(({ finding }) => finding === 'beyond-error');
  const named = beyond.slice(0, MOST_NAMED);
  const more = beyond.length - named.length;
  const items: Words[] = named.map((zone) => [{ text: capital(plainZone(zone.zone)), bold: true }, `: ${plainChange(zone)}`]);
  if (more > 0) items.push(`and ${more} more ${more === 1 ? 'part' : 'parts'} of your face`);
  return [
    {
      kind: 'paragraph',
      words:
        beyond.length > 0
          ? `We found a change in ${count(beyond.length, judged.length)} that is more than the error of our method:`
          : `We looked at ${parts(judged.length)} of your face. In none of them did we find a change that is more than the error of our method.${together(comparison)}`,
    },
    ...(items.length > 0 ? [{ kind: 'list', items } as const] : []),
    {
      kind: 'paragraph',
      words:
        (beyond.length === judged.length
          ? 'A photograph can not show why your face changed. '
          : `${beyond.length > 0 ? 'In the other parts we found no sure change. ' : ''}A small change can still be there: photographs do not show all that you may see or feel. `) +
        unjudgedWords(zones.filter((zone) => !zone.reference).length - judged.length),
    },
  ];
}

const together = ({ pooled }: Comparison): string =>
  pooled?.finding === 'beyond-error'
    ? ` But taken as a whole, the parts we looked at most did ${pooled.volumeMl.value < 0 ? 'get less full' : 'get fuller'}.`
    : '';

const unjudgedWords = (count: number): string => (count === 0 ? '' : `${count === 1 ? 'One part' : `${count} parts`} could not be judged.`);
const parts = (n: number): string => (n === 1 ? 'one part' : `${n} parts`);
const count = (n: number, of: number): string =>
  n === of ? (n === 1 ? 'the one part we could judge' : `all ${n} parts we could judge`) : `${n} of ${of} parts of your face`;

/** What to expect and when to come back, from the practice's own figures. */
function nextItems({ subject, conclusion, facts }: SheetContent): Words[] {
  const last = subject.treatments.filter(({ on }) => on <= subject.after.on).at(-1);
  const dissolved = subject.treatments.filter(({ on, purpose }) => purpose === 'gel-dissolved' && on <= subject.after.on).at(-1);
  const early = last !== undefined && daysBetween(last.on, subject.after.on) < facts.waterLossDays;
  const settled = last ? addDays(last.on, facts.waterLossDays) : null;
  return [
    ...(early
      ? [
          `It is early. ${dissolved ? 'In the first days after gel is dissolved, skin can look hollow and thin, as it has lost water. It fills up again over about' : 'After a treatment, the face can be sore and puffy for up to'} ${weeks(facts.waterLossDays)}. Your face can be judged from ${plainDay(settled!)} on. (This is what most practices see. There is no study of it.)`,
        ]
      : []),
    ...comeBack(subject, conclusion, facts),
    ...agreed(conclusion),
    ...(early ? ['Do not have more gel put in or taken out before we have met again. (This is how most practices do it.)'] : []),
  ];
}

/** What was concluded, as one item. */
function agreed(conclusion: Conclusion | null): Words[] {
  const said = [
    conclusion?.steps.includes('wait') ? 'For now, the plan is to wait.' : '',
    conclusion?.steps.includes('retake') ? 'We would like to take new photographs.' : '',
    conclusion?.steps.includes('refer') ? 'We talked about someone else who can help you. Ask us for the name.' : '',
  ].filter(Boolean);
  return said.length > 0 ? [said.join(' ')] : [];
}

function comeBack(subject: Subject, conclusion: Conclusion | null, facts: TradeFacts): Words[] {
  if (conclusion?.reviewOn) return [[{ text: `Please come back on ${plainDay(conclusion.reviewOn)}.`, bold: true }]];
  const last = subject.treatments.filter(({ on }: Pick<Treatment, 'on'>) => on <= subject.after.on).at(-1);
  if (last && daysBetween(last.on, subject.after.on) < facts.waterLossDays) {
    let review = addDays(last.on, facts.firstReviewDay);
    while (review <= subject.after.on) review = addDays(review, facts.reviewEveryDays);
    return [[{ text: `Please come back on ${plainDay(review)}`, bold: true }, ', or as we agreed with you.']];
  }
  return ['Come back when we agreed, or sooner if you see a change or are worried.'];
}

const weeks = (days: number): string => (days % 7 === 0 ? (days === 7 ? 'a week' : `${days / 7} weeks`) : `${days} days`);
const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);

/** A name may have 120 signs; the sheet is one page. */
const shortened = (name: string): string => (name.length > 60 ? `${name.slice(0, 59)}\u2026` : name);
