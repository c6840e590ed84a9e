/** The settings as they stand in a form, numbers as text, and the settings that they say. */
import { numberOf } from '#app/_treatment/treatment-fields.ts';
import { type PracticeSettings, practiceSettingsSchema, type TradeFacts, USUAL_SETTINGS, type ZoneHint } from '#shared/practice.ts';

export type FactKey =
  | 'enzymeWorksMin'
  | 'firstReviewDay'
  | 'reviewEveryDays'
  | 'waterLossDays'
  | 'removedLeast'
  | 'removedMost'
  | 'lipSolutionMl'
  | 'lipLidocaineMl';
/** `key` is only the form's own, so that a line keeps its place while others go. */
export type HintFields = ZoneHint & Readonly<{ key: string }>;
export type SettingsFields = Readonly<{ practiceName: string; facts: Readonly<Record<FactKey, string>>; hints: readonly HintFields[] }>;

export const FACT_FIELDS: readonly Readonly<{ key: FactKey; label: string; unit: string; of: (facts: TradeFacts) => number }>[] = [
  { key: 'enzymeWorksMin', label: 'The enzyme works for', unit: 'minutes', of: (facts) => facts.enzymeWorksMin },
  { key: 'firstReviewDay', label: 'First review', unit: 'days after the treatment', of: (facts) => facts.firstReviewDay },
  { key: 'reviewEveryDays', label: 'Next review', unit: 'days later', of: (facts) => facts.reviewEveryDays },
  { key: 'waterLossDays', label: 'Photographs are early for', unit: 'days', of: (facts) => facts.waterLossDays },
  { key: 'removedLeast', label: 'One pass removes at least', unit: '% of the gel', of: (facts) => tidy(100 * facts.removedPerPass[0]) },
  { key: 'removedMost', label: 'One pass removes at most', unit: '% of the gel', of: (facts) => tidy(100 * facts.removedPerPass[1]) },
  { key: 'lipSolutionMl', label: 'Half an upper lip: enzyme solution', unit: 'mL', of: (facts) => facts.upperLipMixMl[0] },
  { key: 'lipLidocaineMl', label: 'Half an upper lip: lidocaine 1 %', unit: 'mL', of: (facts) => facts.upperLipMixMl[1] },
];

export function settingsFields({ practiceName, facts, hints }: Omit<PracticeSettings, 'revision'>): SettingsFields {
  return {
    practiceName,
    facts: Object.fromEntries(FACT_FIELDS.map(({ key, of }) => [key, String(of(facts))])) as Record<FactKey, string>,
    hints: hints.map((hint, i) => ({ ...hint, key: `kept ${i}` })),
  };
}

/** Whether a fact is as the trade has it, so that its mark is right. */
export const isUsual = (key: FactKey, typed: string): boolean =>
  numberOf(typed) === FACT_FIELDS.find((field) => field.key === key)!.of(USUAL_SETTINGS.facts);

type Said = Readonly<{ ok: true; settings: Omit<PracticeSettings, 'revision'> }> | Readonly<{ ok: false; faults: readonly string[] }>;

export function settingsOf({ practiceName, facts, hints }: SettingsFields): Said {
  const value = (key: FactKey) => numberOf(facts[key]);
  const faults = FACT_FIELDS.filter(({ key }) => Number.isNaN(value(key))).map(({ label }) => `${label}: a number is missing.`);
  if (value('removedLeast') > value('removedMost')) faults.push('One pass cannot remove at least more than at most.');
  hints.forEach(({ zones, text }, i) => {
    if (zones.length === 0) faults.push(`Hint ${i + 1} has no zone.`);
    if (text.trim() === '') faults.push(`Hint ${i + 1} has no text.`);
  });
  if (faults.length > 0) return { ok: false, faults };
  const read = practiceSettingsSchema.omit({ revision: true }).safeParse({
    practiceName,
    facts: {
      enzymeWorksMin: value('enzymeWorksMin'),
      firstReviewDay: value('firstReviewDay'),
      reviewEveryDays: value('reviewEveryDays'),
      waterLossDays: value('waterLossDays'),
      removedPerPass: [tidy(value('removedLeast') / 100), tidy(value('removedMost') / 100)],
      upperLipMixMl: [value('lipSolutionMl'), value('lipLidocaineMl')],
    },
    hints: hints.map(({ zones, text, source }) => ({ zones, text, source })),
  });
  return read.success
    ? { ok: true, settings: read.data }
    : { ok: false, faults: read.error.issues.map(({ path, message }) => `${path.join(', ')}: ${message}.`) };
}

const tidy = (value: number): number => Number(value.toPrecision(12));
