/** POST looks through a manifest before a series is begun with it: what it asks for, in words, and what is wrong with it. */
import { z } from 'zod';
import { answer, problem } from '#app/_server/answer.ts';
import { bodyOf } from '#app/_server/case-answer.ts';
import { seriesManifest } from '#app/_server/series-manifest.ts';
import { manifestWords } from '#lib/series/manifest-words.ts';
import { MOST_DROPPED, seriesSourceSchema } from '#shared/series-job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const MOST_SHOWN = 30;

const askedSchema = z.object({ source: seriesSourceSchema, files: z.array(z.string().min(1).max(400)).max(MOST_DROPPED) });

export async function POST(request: Request): Promise<Response> {
  const asked = await bodyOf(request, askedSchema);
  if (!asked.ok) return asked.response;
  const { source, files } = asked.value;
  const manifest = await seriesManifest(source, files);
  if (!manifest.ok) return problem(manifest.why === 'not-here' ? 403 : 422, manifest.why, manifest.detail);
  const { faults, pairs } = manifest.value;
  const named = new Set(pairs.flatMap(({ before, after }) => [...before, ...after].map(({ file }) => file)));
  return answer({
    words: manifestWords(manifest.value),
    faults: faults.slice(0, MOST_SHOWN).map(({ line, message }) => ({ line, message })),
    moreFaults: Math.max(0, faults.length - MOST_SHOWN),
    // Photographs that no pair needs are not sent.
    needed: source.kind === 'shelf' ? files.filter((file) => named.has(file)) : [],
  });
}
