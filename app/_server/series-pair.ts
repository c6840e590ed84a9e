/**
 * A pair of a series as an ordinary comparison. A series keeps numbers only; pictures and maps are made when somebody wants to see them,
 * and are then sealed like those of any comparison.
 */
import { dirname } from 'node:path';
import { folderPhotographs } from '#lib/record/series/folder-photographs.ts';
import type { StoredPair } from '#lib/record/series/types.ts';
import type { StoredSeries } from '#lib/record/series-types.ts';
import type { CompareRequest, PhotoRef } from '#shared/job.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import type { SeriesPair } from '#shared/series.ts';
import { plainName } from '#shared/upload.ts';
import { record } from './record.ts';

type Why = 'gone' | 'no-photo' | 'no-set-up' | 'changed';

/** The comparison's id. */
export async function compareSeriesPair(seriesId: string, pairId: string): Promise<Outcome<string, Why>> {
  const series = await record().series(seriesId);
  const view = series ? record().seriesView(seriesId) : null;
  const stored = view?.pair(pairId) ?? null;
  view?.close();
  if (!series || !stored) return refused('gone', 'The series has no such pair.');
  const { pair } = stored;
  const { setUp, scale } = series.options;
  if (setUp !== null && !(await record().setUp(setUp)))
    return refused(
      'no-set-up',
      'The set-up that this series took its limits from is no longer kept, so the pair would be judged by others.',
    );

  const shelved = await shelve(series, pair);
  if (!shelved.ok) return shelved;
  const changed = changedSince(stored, shelved.value);
  if (changed !== null)
    return refused(
      'changed',
      `${changed} is no longer the photograph that the series measured. Go on with the series, so that both say the same.`,
    );
  const request: CompareRequest = {
    kind: 'compare',
    title: `${pair.subject}, ${pair.beforeVisit} to ${pair.afterVisit}`.slice(0, 200),
    ...shelved.value,
    options: {
      ...(scale ? { scale } : {}),
      ...(pair.concernZones.length > 0 ? { treatedZones: pair.concernZones } : {}),
      ...(pair.treatedOn ? { treatedOn: pair.treatedOn } : {}),
      ...(pair.treatedOn && pair.afterOn ? { afterOn: pair.afterOn } : {}),
      ...(setUp ? { setUp } : {}),
    },
  };
  return found(await record().enqueue(request));
}

type Sides = Pick<CompareRequest, 'before' | 'after'>;

/** The first photograph whose bytes are others than when the pair was answered, or null. */
function changedSince({ inputs, pair }: StoredPair, sides: Sides): string | null {
  for (const role of ['before', 'after'] as const)
    for (const [k, { file }] of pair[role].entries()) {
      const known = inputs.find((input) => input.role === role && input.file === file);
      if (known && known.sha256 !== sides[role][k]!.sha256) return file;
    }
  return null;
}

async function shelve(series: StoredSeries, pair: SeriesPair): Promise<Outcome<Sides, 'no-photo'>> {
  const find = await finder(series);
  const sides: { before: PhotoRef[]; after: PhotoRef[] } = { before: [], after: [] };
  for (const role of ['before', 'after'] as const)
    for (const { file } of pair[role]) {
      const address = await find(file);
      if (!address.ok) return address;
      sides[role].push({ sha256: address.value, name: plainName(file) });
    }
  return found(sides);
}

/** The address on the shelf of a photograph by the manifest's name; one of a folder is put there first. */
async function finder({ id, source }: StoredSeries): Promise<(file: string) => Promise<Outcome<string, 'no-photo'>>> {
  if (source.kind === 'shelf') {
    const known = new Map((await record().seriesPhotos(id)).map(({ file, sha256 }) => [file, sha256]));
    return async (file) => {
      const sha256 = known.get(file);
      return sha256 ? found(sha256) : refused('no-photo', `${file} is not among the photographs of the series.`);
    };
  }
  const folder = folderPhotographs(dirname(source.manifest));
  return async (file) => {
    const bytes = await folder.read(file);
    if (!bytes.ok) return refused('no-photo', bytes.detail);
    const stored = await record().addPhoto(bytes.value, plainName(file));
    return stored.ok ? found(stored.value.sha256) : refused('no-photo', stored.detail);
  };
}
