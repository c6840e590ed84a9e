/** The manifest of a series that is about to be begun: read, looked through, and kept from those who may not name files of this machine. */
import { manifestFile } from '#lib/record/series/manifest-file.ts';
import { type Manifest, readManifest } from '#lib/series/manifest.ts';
import { type Outcome, refused } from '#shared/outcome.ts';
import type { SeriesSource } from '#shared/series-job.ts';
import { isOutside, signedInAs } from './actor.ts';

/**
 * A path is read with the rights of whoever started the program. That is the person at the page only where nobody needs to sign in,
 * because then nothing but this machine is served.
 */
export const mayNameFiles = async (): Promise<boolean> => (await signedInAs()) === null && !(await isOutside());

/** `files`: the names under which photographs were dropped. */
export async function seriesManifest(source: SeriesSource, files: readonly string[]): Promise<Outcome<Manifest, string>> {
  if (source.kind === 'shelf') {
    const there = new Set(files);
    return readManifest(source.text, /\.json$/i.test(source.name) ? 'json' : 'csv', (file) => there.has(file));
  }
  if (!(await mayNameFiles()))
    return refused(
      'not-here',
      'A folder can be named only on the machine that the program runs on, where nobody needs to sign in. Drop the photographs and their manifest instead.',
    );
  const file = await manifestFile(source.manifest);
  return file.ok ? readManifest(file.value.text, file.value.format, file.value.has) : file;
}
