/**
 * One pair of a series, from the names of its photographs to an answer in the store. The comparison is looked up first by the hash of
 * all that it is a function of: photographs with their names, options, version. So nothing is measured twice, whoever asks.
 */
import type { ComparedPair, CompareOptions, PhotoSource } from '#lib/compare/types.ts';
import { sha256Of } from '#lib/record/series/pack.ts';
import type { Photographs } from '#lib/record/series/photographs.ts';
import type { PairAnswer, PairInput, SeriesStore, SeriesTask } from '#lib/record/series/types.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { SeriesPair } from '#shared/series.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { daysSinceTreatment } from '#workers/days-since.ts';
import type { Measuring } from '#workers/measuring.ts';
import { scaleHintOf } from '#workers/scale-hint.ts';

export type PairPlace = Readonly<{
  store: Pick<SeriesStore, 'known' | 'finish'>;
  photographs: Photographs;
  measuring: () => Promise<Measuring>;
  /** Called with what was measured and its photographs, when pictures are wanted. */
  withPictures?:
    | ((asked: SeriesPair, measured: Readonly<{ pair: ComparedPair; sources: readonly PhotoSource[] }>) => Promise<void>)
    | undefined;
}>;

/** True when the answer was taken by the store. Never throws for bad data. */
export async function measurePair(place: PairPlace, task: SeriesTask): Promise<boolean> {
  return place.store.finish(task, await answerOf(place, task));
}

async function answerOf({ store, photographs, measuring, withPictures }: PairPlace, { pair, ask }: SeriesTask): Promise<PairAnswer> {
  const inputs: PairInput[] = [];
  const sources: { before: PhotoSource[]; after: PhotoSource[] } = { before: [], after: [] };
  for (const role of ['before', 'after'] as const)
    for (const { file } of pair[role]) {
      const stamp = await photographs.stamp(file);
      const bytes = await photographs.read(file);
      if (!bytes.ok) return { state: 'failed', inputs, fault: { code: bytes.why, message: bytes.detail } };
      inputs.push({ role, file, sha256: sha256Of(bytes.value), bytes: bytes.value.length, stamp });
      sources[role].push({ name: file.slice(file.lastIndexOf('/') + 1), bytes: bytes.value });
    }
  const days = await daysOf(pair, sources.after, measuring);
  const options = { scale: ask.scale, concernZones: pair.concernZones, daysSinceTreatment: days ?? null, setUp: ask.setUp };
  const key = sha256Of(
    canonicalJson({
      photographs: inputs.map(({ role, sha256 }, k) => ({ role, sha256, name: [...sources.before, ...sources.after][k]!.name })),
      options,
      version: EBBLINE_VERSION,
    }),
  );
  const known = withPictures ? null : await store.known(key);
  if (known) return { state: stateOf(known), key, inputs, comparison: known };
  const compared = await (await measuring()).comparePair(sources.before, sources.after, optionsOf(options, withPictures !== undefined));
  if (!compared.ok) return { state: 'failed', inputs, fault: { code: compared.why, message: compared.detail } };
  await withPictures?.(pair, { pair: compared.value, sources: [...sources.before, ...sources.after] });
  const { comparison } = compared.value;
  return { state: stateOf(comparison), key, inputs, comparison };
}

const stateOf = ({ gate }: Comparison): 'measured' | 'not-comparable' => (gate.comparable ? 'measured' : 'not-comparable');

/** The manifest's day of the after photographs wins; without one the cameras are asked. */
async function daysOf(
  { treatedOn, afterOn }: SeriesTask['pair'],
  after: readonly PhotoSource[],
  measuring: PairPlace['measuring'],
): Promise<number | undefined> {
  if (treatedOn === null) return undefined;
  if (afterOn !== null) return daysSinceTreatment(treatedOn, afterOn, []);
  const { takenAt } = await measuring();
  return daysSinceTreatment(treatedOn, undefined, await Promise.all(after.map(takenAt)));
}

type Asked = Readonly<{
  scale: SeriesTask['ask']['scale'];
  concernZones: SeriesTask['pair']['concernZones'];
  daysSinceTreatment: number | null;
  setUp: SeriesTask['ask']['setUp'];
}>;

function optionsOf({ scale, concernZones, daysSinceTreatment: days, setUp }: Asked, pictures: boolean): CompareOptions {
  return {
    ...(scale ? { scale: scaleHintOf(scale) } : {}),
    ...(concernZones.length > 0 ? { concernZones } : {}),
    ...(days === null ? {} : { daysSinceTreatment: days }),
    ...(setUp ? { setUp } : {}),
    pictures,
  };
}
