/** The pictures and the report of one pair of a series, in a folder of its own: DIR/SUBJECT/BEFORE-VISIT to AFTER-VISIT. */
import { join } from 'node:path';
import type { ComparedPair, PhotoSource } from '#lib/compare/types.ts';
import type { SeriesPair } from '#shared/series.ts';
import { outFiles } from '#workers/commands/compare-files.ts';
import { writeOutFolder } from '#workers/commands/out-folder.ts';
import { comparisonFiles } from '#workers/comparison-files.ts';
import type { Measuring } from '#workers/measuring.ts';

/** Labels hold no slash, so a pair's folder lies under `dir`; a label of points alone is no folder of its own. */
export const pairFolder = (dir: string, { subject, beforeVisit, afterVisit }: SeriesPair): string =>
  join(dir, subject.replace(/^\.+$/, '_'), `${beforeVisit} to ${afterVisit}`);

export async function writePairPictures(
  dir: string,
  measuring: Pick<Measuring, 'preview'>,
  asked: SeriesPair,
  measured: Readonly<{ pair: ComparedPair; sources: readonly PhotoSource[] }>,
): Promise<void> {
  const files = await comparisonFiles(measuring, { ...measured, title: asked.pair });
  await writeOutFolder(pairFolder(dir, asked), outFiles(measured.pair.comparison, files));
}
