/** The words for what a complaint records: how often, grades, next steps, agreement. Left and right are the subject's. */
import type { COMPLAINT_STAGES, EXAMINER_GRADES, HOW_OFTEN, NEXT_STEPS } from '#shared/case.ts';
import { SOURCE_WORDS } from '#shared/fact-source.ts';

export type ExaminerGrade = (typeof EXAMINER_GRADES)[number];
export type NextStep = (typeof NEXT_STEPS)[number];
/** `cannot-be-said`: one of the two is silent, or a change could lie below the detection limit. */
export const AGREEMENTS = ['agree', 'differ', 'cannot-be-said'] as const;
export type Agreement = (typeof AGREEMENTS)[number];

export const HOW_OFTEN_WORDS: Readonly<Record<(typeof HOW_OFTEN)[number], string>> = {
  seldom: 'seldom',
  'some-days': 'on some days',
  'most-days': 'on most days',
  'every-day': 'every day',
  'many-times-a-day': 'many times a day',
};

/** Of fullness, after against before. */
export const GRADE_WORDS: Readonly<Record<ExaminerGrade, string>> = {
  'clearly-less': 'clearly less full',
  'slightly-less': 'slightly less full',
  'no-difference': 'no difference seen',
  'slightly-more': 'slightly fuller',
  'clearly-more': 'clearly fuller',
  'cannot-say': 'cannot say',
};

export const NEXT_STEP_WORDS: Readonly<Record<NextStep, string>> = {
  wait: 'Wait',
  retake: 'Retake the photographs',
  'review-again': 'Review again',
  discuss: 'Discuss the result with the patient',
  refer: 'Offer a referral',
  none: 'Nothing further for now',
};

export const STAGE_WORDS: Readonly<Record<(typeof COMPLAINT_STAGES)[number], string>> = {
  opened: 'opened, the patient is to be heard',
  heard: 'heard, to be rated by the examiner',
  rated: 'rated, the measurement is not shown yet',
  revealed: 'measurement shown, to be concluded',
  concluded: 'concluded',
};

export const AGREEMENT_WORDS: Readonly<Record<Agreement, string>> = {
  agree: 'agree',
  differ: 'differ',
  'cannot-be-said': 'cannot be said',
};
/** A shape for each, so that none is told by colour alone. */
export const AGREEMENT_SHAPES: Readonly<Record<Agreement, string>> = { agree: '=', differ: '\u2260', 'cannot-be-said': '?' };

export const COMMON_PRACTICE = SOURCE_WORDS['common-practice'];

/** Said wherever a complaint is heard or answered. No score and no questionnaire: the program can't know, and does not guess. */
export const DISTRESS_NOTE =
  'Being troubled by one\u2019s own face is real, whatever a photograph shows. When the thought of it takes up much of the day, keeps someone from work or from ' +
  'people, or does not ease, a talk with their physician, a psychologist or a psychiatrist helps more than another session. Offer that referral kindly, and do not ' +
  'make it depend on the measurement. If someone speaks of harming themselves, get help the same day.';

/** "a", "a and b", "a, b and c". */
export function listWords(words: readonly string[]): string {
  return words.length < 2 ? (words[0] ?? '') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`;
}
