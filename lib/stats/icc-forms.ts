/**
 * The six intraclass correlations with their full names, as reports must give them.
 *
 * Source  names of model, type and definition: McGraw & Wong, Psychological Methods 1(1):30-46, 1996, doi:10.1037/1082-989X.1.1.30,
 *         and the table that sets them beside Shrout & Fleiss's in Koo & Li, Journal of Chiropractic Medicine 15(2):155-163, 2016,
 *         doi:10.1016/j.jcm.2016.02.012, whose bands are for the interval, not for the value.
 */
import type { Intraclass, Reliability } from './intraclass.ts';

export const ICC_FORMS = ['ICC(1,1)', 'ICC(2,1)', 'ICC(3,1)', 'ICC(1,k)', 'ICC(2,k)', 'ICC(3,k)'] as const;
export type IccForm = (typeof ICC_FORMS)[number];

export type NamedIcc = Reliability &
  Readonly<{
    form: IccForm;
    /** As McGraw & Wong write it. */
    mcGrawWong: string;
    model: 'one-way random effects' | 'two-way random effects' | 'two-way mixed effects';
    type: 'single reading' | 'mean of k readings';
    definition: 'absolute agreement' | 'consistency';
  }>;

const MODELS = [
  { model: 'one-way random effects', definition: 'absolute agreement', name: 'ICC(1' },
  { model: 'two-way random effects', definition: 'absolute agreement', name: 'ICC(A' },
  { model: 'two-way mixed effects', definition: 'consistency', name: 'ICC(C' },
] as const;

/** All six, in the order of ICC_FORMS. */
export function iccForms({ oneWay, agreement, consistency }: Intraclass): NamedIcc[] {
  return ICC_FORMS.map((form, i) => {
    const { model, definition, name } = MODELS[i % 3];
    const both = [oneWay, agreement, consistency][i % 3];
    const single = i < 3;
    const type = single ? ('single reading' as const) : ('mean of k readings' as const);
    const mcGrawWong = name === 'ICC(1' ? (single ? 'ICC(1)' : 'ICC(k)') : `${name},${single ? '1' : 'k'})`;
    return { form, mcGrawWong, model, type, definition, ...(single ? both.single : both.average) };
  });
}

/** Koo & Li's words for the whole interval: below 0.5 poor, to 0.75 moderate, to 0.9 good, above excellent. */
export function reliabilityBand([low, high]: readonly [number, number]): string {
  const word = (value: number): string => (value < 0.5 ? 'poor' : value < 0.75 ? 'moderate' : value < 0.9 ? 'good' : 'excellent');
  return word(low) === word(high) ? word(low) : `${word(low)} to ${word(high)}`;
}
