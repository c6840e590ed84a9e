/** What every pair of a series was asked, as text by its name, for the crate. */
import { sha256Of } from '#lib/record/series/pack.ts';
import type { SeriesAsk } from '#lib/record/series/types.ts';
import { canonicalJson } from '#shared/canonical-json.ts';

/** A set-up's name may be that of a room or a practice, so a de-identified crate only says that there was one. */
export function parametersOf({ scale, setUp }: SeriesAsk, deidentified: boolean): Record<string, string> {
  return {
    scale: canonicalJson(scale ?? { kind: 'iris' }),
    errorSource: setUp ? 'own-repeats' : 'validation',
    ...(setUp && !deidentified ? { setUp: setUp.name, setUpSha256: sha256Of(canonicalJson(setUp)) } : {}),
  };
}
