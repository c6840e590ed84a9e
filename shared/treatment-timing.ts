/**
 * What common practice says of a treatment's day against those before it: reviews come first. Warnings only; none forbids.
 * The days are the practice's own figures (shared/practice.ts), common practice without a published source.
 */
import type { Treatment, TreatmentDraft } from './case.ts';
import { addDays, daysBetween } from './days.ts';
import type { TradeFacts } from './practice.ts';
import { type ZoneId, zoneLabel } from './zones.ts';

type Earlier = Pick<Treatment, 'on' | 'zones' | 'purpose'>;
export type TimingWarning = Readonly<{ zones: readonly ZoneId[]; text: string }>;

/** Days on which the zones are to be looked at again after a dissolving treatment: the first review, and the next. */
export const reviewDays = (on: string, { firstReviewDay, reviewEveryDays }: TradeFacts): [string, string] => [
  addDays(on, firstReviewDay),
  addDays(on, firstReviewDay + reviewEveryDays),
];

/** One warning for each earlier dissolving treatment of the same zones that has not been reviewed by then. */
export function timingWarnings(
  draft: Pick<TreatmentDraft, 'on' | 'zones' | 'purpose'>,
  earlier: readonly Earlier[],
  facts: TradeFacts,
): TimingWarning[] {
  if (draft.purpose !== 'gel-dissolved' && draft.purpose !== 'gel-placed') return [];
  return earlier.flatMap((treatment) => {
    const zones = treatment.zones.filter((zone) => draft.zones.includes(zone));
    if (treatment.purpose !== 'gel-dissolved' || zones.length === 0 || daysBetween(treatment.on, draft.on) < 0) return [];
    const [first, second] = reviewDays(treatment.on, facts);
    const due = draft.purpose === 'gel-dissolved' ? first : second;
    if (draft.on >= due) return [];
    const names = zones.map((zone) => zoneLabel(zone).replace(',', '')).join(', ');
    const what =
      draft.purpose === 'gel-dissolved'
        ? `The first review is on ${first}, and only then is it decided whether to treat again or wait.`
        : `Refilling waits for the reviews on ${first} and ${second}.`;
    return [{ zones, text: `${names}: enzyme was given on ${treatment.on}. ${what}` }];
  });
}
