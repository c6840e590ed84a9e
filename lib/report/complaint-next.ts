/**
 * What common practice suggests after a complaint was answered, each step with its reasons. Proposals: the practitioner chooses.
 * Referral is offered to everyone alike; nothing the patient said is added up into a score.
 */
import type { Check, Comparison } from '#shared/comparison.ts';
import { addDays } from '#shared/days.ts';
import { factSourceWords } from '#shared/fact-source.ts';
import type { TradeFacts } from '#shared/practice.ts';
import type { Early } from './complaint-early.ts';
import type { AnswerRow } from './complaint-rows.ts';
import type { NextStep } from './complaint-words.ts';

export type NextProposal = Readonly<{
  step: NextStep;
  /** False: possible, but nothing here speaks for it in particular. */
  proposed: boolean;
  /** Whole sentences; never empty. */
  reasons: readonly string[];
}>;

type Facts = Readonly<{
  comparison: Comparison;
  rows: readonly AnswerRow[];
  early: Early | null;
  facts: TradeFacts;
}>;

export function nextProposals({ comparison, rows, early, facts }: Facts): NextProposal[] {
  const retake = retakeReasons(comparison, rows);
  const review = reviewReasons(comparison, rows, early);
  return [
    {
      step: 'wait',
      proposed: early !== null,
      reasons: early
        ? [
            `Until ${early.judgedFrom} the look of these photographs may be lost water, swelling or bruising (${factSourceWords(facts, 'waterLossDays')}).`,
            `Neither re-treat nor refill on the strength of early photographs: the first review is on day ${facts.firstReviewDay}, the next ${facts.reviewEveryDays} days later, and refilling comes after (${factSourceWords(facts, 'firstReviewDay', 'reviewEveryDays')}).`,
          ]
        : [`The first ${facts.waterLossDays} days after the last treatment are over, or none is recorded; nothing here asks for waiting.`],
    },
    {
      step: 'retake',
      proposed: retake.length > 0,
      reasons: retake.length > 0 ? retake : ['The photographs passed their checks without a note.'],
    },
    {
      step: 'review-again',
      proposed: review.length > 0,
      reasons: review.length > 0 ? review : ['Nothing here asks for another review in particular.'],
    },
    {
      step: 'discuss',
      proposed: true,
      reasons: [
        'Show the patient the same pictures and this table: where the three agree, where they differ, and what the photographs cannot tell.',
      ],
    },
    {
      step: 'refer',
      proposed: false,
      reasons: [
        'Open to every patient: distress about appearance deserves a referral, not another session. Whether to offer it is for the practitioner to judge, not for this program.',
      ],
    },
    { step: 'none', proposed: false, reasons: ['If practitioner and patient both see nothing left to do.'] },
  ];
}

/** The day proposed for the next review: when it can be judged, or the practice's usual interval from the complaint. */
export const proposedReviewDay = (on: string, { early, facts }: Pick<Facts, 'early' | 'facts'>): string =>
  early && early.judgedFrom > on ? early.judgedFrom : addDays(on, facts.reviewEveryDays);

function retakeReasons({ gate, control }: Comparison, rows: readonly AnswerRow[]): string[] {
  const noted = gate.checks.filter(({ verdict }) => verdict !== 'pass');
  const hidden = rows.filter((row) => row.named && row.finding === 'not-assessable');
  return [
    ...(!gate.comparable
      ? ['The photographs could not be compared.']
      : control.trusted
        ? []
        : ['The reference zones did not bear the comparison out; the same light in both photographs is what helps most.']),
    ...noted.map(adviceOf),
    ...(gate.comparable && control.trusted && hidden.length > 0
      ? [
          `${hidden.map(({ label }) => label.replace(',', '')).join('; ')}: named by the patient, and could not be judged on these photographs.`,
        ]
      : []),
  ];
}

const adviceOf = ({ message, advice }: Check): string => [message, advice].filter(Boolean).join(' ');

function reviewReasons(comparison: Comparison, rows: readonly AnswerRow[], early: Early | null): string[] {
  const within = rows.filter((row) => row.named && row.finding === 'within-error');
  const beyond = rows.filter((row) => row.finding === 'beyond-error');
  return [
    ...(early ? [`A comparison with photographs from ${early.judgedFrom} or later can tell what lasts.`] : []),
    ...(within.length > 0 ? ['A change too small for one pair of photographs can show over several visits, as a course.'] : []),
    ...(beyond.length > 0 && !early
      ? ['A change beyond error is worth following: the next visits show whether it stays, grows or returns.']
      : []),
    ...(!comparison.gate.comparable ? ['The answer is still owed, once there are comparable photographs.'] : []),
  ];
}
