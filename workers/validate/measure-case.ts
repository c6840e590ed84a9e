/** One case of the validation: its photographs, the comparison of them, and what of it the figures need. */
import { comparePair } from '#lib/compare/compare-pair.ts';
import { photographsOf, type ValidationCase } from '#lib/phantom/cases.ts';
import type { CaseFacts, CaseResult } from '#lib/report/validation-result.ts';
import type { View } from '#shared/comparison.ts';
import { photographOf } from './photo-cache.ts';
import { resultOf } from './result-of.ts';

export async function measureCase(one: ValidationCase, folder: string): Promise<CaseResult> {
  const { views, truth, pupilsMm } = await photographsOfCase(one, folder);
  const outcome = await comparePair(
    views.map(({ view, before }) => ({ name: `before-${view}.jpg`, bytes: before })),
    views.map(({ view, after }) => ({ name: `after-${view}.jpg`, bytes: after })),
    { concernZones: one.concern },
  );
  const { id, group, views: count, nuisance, concern, changed, nominalMl, tone, face } = one;
  const facts = {
    id,
    source: 'phantom',
    group,
    face: String(face),
    tone,
    views: count,
    nuisance,
    concern,
    changed,
    nominalMl,
    truth,
    pupilsMm,
  };
  return resultOf(facts as CaseFacts, outcome);
}

/** The JPEG files of a case; draws what is not yet in the cache. */
export async function photographsOfCase(one: ValidationCase, folder: string) {
  const views: { view: View; before: Uint8Array; after: Uint8Array }[] = [];
  let truth: CaseFacts['truth'] = {};
  let pupilsMm: number | null = null;
  for (const { view, before, after } of photographsOf(one)) {
    const [b, a] = [await photographOf(before, one.jpegQuality, folder), await photographOf(after, one.jpegQuality, folder)];
    if (views.length === 0) [truth, pupilsMm] = [a.zoneMl, b.pupilsMm];
    views.push({ view, before: b.bytes, after: a.bytes });
  }
  return { views, truth, pupilsMm };
}
