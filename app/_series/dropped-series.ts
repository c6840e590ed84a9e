/** From what was dropped: the manifest, and the photographs by the names that a manifest beside them has for them. Pure. */
import type { DroppedFile } from '#app/_case/dropped-files.ts';
import { canBePhoto } from '#app/_case/dropped-files.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { LONGEST_MANIFEST, MOST_DROPPED } from '#shared/series-job.ts';

export type DroppedSeries = Readonly<{ manifest: File; photos: ReadonlyMap<string, File> }>;
export type DropFault = 'no-manifest' | 'two-manifests' | 'too-large' | 'too-many' | 'no-photos';

export function droppedSeries(dropped: readonly DroppedFile[]): Outcome<DroppedSeries, DropFault> {
  const seen = dropped.filter(({ path }) => !path.split('/').some((part) => part.startsWith('.')));
  const tables = seen.filter(({ path }) => /\.(csv|json)$/i.test(path));
  const named = tables.filter(({ path }) => /(^|\/)manifest\.(csv|json)$/i.test(path));
  const candidates = named.length > 0 ? named : tables;
  if (candidates.length === 0)
    return refused(
      'no-manifest',
      'There is no manifest among the files: a .csv or .json file beside the photographs. Choose the folder that holds both.',
    );
  if (candidates.length > 1)
    return refused(
      'two-manifests',
      `There is more than one file that could be the manifest: ${candidates
        .slice(0, 3)
        .map(({ path }) => path)
        .join(', ')}. Leave one, or call it manifest.csv.`,
    );
  const { file: manifest, path } = candidates[0]!;
  if (manifest.size > LONGEST_MANIFEST)
    return refused(
      'too-large',
      'The manifest is too long to be dropped here. Name its folder on the machine that the program runs on, or use ebbline series.',
    );
  const folder = path.slice(0, path.lastIndexOf('/') + 1);
  const photos = new Map(
    seen.filter((one) => canBePhoto(one.file) && one.path.startsWith(folder)).map((one) => [one.path.slice(folder.length), one.file]),
  );
  if (photos.size === 0)
    return refused(
      'no-photos',
      'There are no photographs beside the manifest. Choose the folder that holds both, so that their places are known.',
    );
  if (photos.size > MOST_DROPPED)
    return refused(
      'too-many',
      `${photos.size} photographs are more than the ${MOST_DROPPED} that can be dropped here. Name their folder on the machine that the program runs on, or use ebbline series.`,
    );
  return found({ manifest, photos });
}
