/** POST begins a series; it waits for the runner, and its id is the answer. */
import { book } from '#app/_server/actor.ts';
import { answer, problem } from '#app/_server/answer.ts';
import { bodyOf } from '#app/_server/case-answer.ts';
import { record } from '#app/_server/record.ts';
import { seriesManifest } from '#app/_server/series-manifest.ts';
import { seriesAskedSchema } from '#shared/series-job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function POST(request: Request): Promise<Response> {
  const asked = await bodyOf(request, seriesAskedSchema);
  if (!asked.ok) return asked.response;
  const { source, photos, options } = asked.value;
  const manifest = await seriesManifest(
    source,
    photos.map(({ file }) => file),
  );
  if (!manifest.ok) return problem(manifest.why === 'not-here' ? 403 : 422, manifest.why, manifest.detail);
  for (const { file, sha256 } of photos)
    if (!(await record().photo(sha256)))
      return problem(409, 'no-photo', `${file} is no longer on the shelf.`, 'Drop the photographs again.');
  if (options.setUp !== null && !(await record().setUp(options.setUp)))
    return problem(409, 'no-set-up', 'The chosen set-up is no longer kept.', 'Reload the page and choose another one.');
  // Of a folder, nothing lies on the shelf.
  const id = await record().addSeries(source.kind === 'folder' ? { ...asked.value, photos: [] } : asked.value);
  const pairs = manifest.value.pairs.length;
  await (await book()).note({ action: 'add', what: 'series', id, case: null, facts: { pairs, from: source.kind } });
  return answer({ id }, 202);
}
