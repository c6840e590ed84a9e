/**
 * The measured answer to a complaint beside the patient's words and the examiner's eye: what the page shows last, and what its report prints.
 *
 * Refuses by throwing to answer before the measurement was revealed, so that no page can show a result too early by mistake.
 */
import type { Complaint, Treatment } from '#shared/case.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { TradeFacts } from '#shared/practice.ts';
import { type Early, earlyWindow } from './complaint-early.ts';
import { type NextProposal, nextProposals, proposedReviewDay } from './complaint-next.ts';
import { type AnswerRow, complaintRows } from './complaint-rows.ts';
import { complaintStatement, type StatementPart } from './complaint-statement.ts';

export type ComplaintFacts = Readonly<{
  complaint: Complaint;
  /** The comparison that `complaint.revealed` names. */
  comparison: Comparison;
  /** Days of the two visits. */
  beforeOn: string;
  afterOn: string;
  treatments: readonly Pick<Treatment, 'on' | 'purpose'>[];
  facts: TradeFacts;
  /** How often a result of these visits had been opened before the rating, as the audit tells (`resultsSeenBefore` of its line). */
  resultsSeenBefore?: number | undefined;
}>;

export type ComplaintAnswer = Readonly<{
  /** False: no agreement with the measurement is stated, and no row carries a measured value. */
  usable: boolean;
  /** The after photographs were taken within the early window. */
  early: Early | null;
  rows: readonly AnswerRow[];
  statement: readonly StatementPart[];
  next: readonly NextProposal[];
  reviewOn: string;
  /** As it came in: 0 is a rating that nothing in the record speaks against being blind. */
  resultsSeenBefore: number;
}>;

/** Throws RangeError while the measurement is not revealed. */
export function complaintAnswer({
  complaint,
  comparison,
  beforeOn,
  afterOn,
  treatments,
  facts,
  resultsSeenBefore = 0,
}: ComplaintFacts): ComplaintAnswer {
  if (!complaint.revealed) throw new RangeError('a complaint is answered only once its measurement has been revealed');
  const rows = complaintRows(complaint, comparison);
  const early = earlyWindow(afterOn, 'after', treatments, facts);
  const timing = { early, facts };
  return {
    usable: comparison.gate.comparable && comparison.control.trusted,
    early,
    rows,
    statement: complaintStatement({
      complaint,
      comparison,
      rows,
      resultsSeenBefore,
      early: { before: earlyWindow(beforeOn, 'before', treatments, facts), after: early },
    }),
    next: nextProposals({ comparison, rows, ...timing }),
    reviewOn: proposedReviewDay(complaint.on, timing),
    resultsSeenBefore,
  };
}
