/** POST /api/photos?name=NAME with the file's bytes as the body: the photograph goes on the shelf, straight from the stream. */

import { book } from '#app/_server/actor.ts';
import { answer, problem } from '#app/_server/answer.ts';
import { record } from '#app/_server/record.ts';
import { LONGEST_NAME, MOST_UPLOAD_BYTES, plainName } from '#shared/upload.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const ADVICE = {
  empty: 'Choose the file again; if it stays empty, copy it anew from the camera.',
  'too-large': `Save it as a JPEG of at most ${MOST_UPLOAD_BYTES / 1e6} MB.`,
  'no-room': 'Make room on the disk that keeps the record, then add the photograph again.',
} as const;
const STATUS = { empty: 400, 'too-large': 413, 'no-room': 507 } as const;

export async function POST(request: Request): Promise<Response> {
  const name = plainName((new URL(request.url).searchParams.get('name') ?? '').slice(0, 4 * LONGEST_NAME));
  const promised = Number(request.headers.get('content-length') ?? 0);
  if (promised > MOST_UPLOAD_BYTES)
    return problem(413, 'too-large', `${name} is larger than ${MOST_UPLOAD_BYTES / 1e6} MB.`, ADVICE['too-large']);
  if (!request.body) return problem(400, 'empty', `${name} has no content.`, ADVICE.empty);

  try {
    const stored = await record().addPhotoStream(chunksOf(request.body), name, MOST_UPLOAD_BYTES);
    if (!stored.ok) return problem(STATUS[stored.why], stored.why, stored.detail, ADVICE[stored.why]);
    await (await book()).note({ action: 'add', what: 'photo', id: stored.value.sha256, case: null, facts: { bytes: stored.value.bytes } });
    return answer({ photo: stored.value }, 201);
  } catch (error) {
    if (request.signal.aborted) return problem(499, 'stopped', 'The upload was stopped.');
    throw error;
  }
}

/** The body's chunks, one after the other; a reader that stops early lets the rest go. */
async function* chunksOf(body: ReadableStream<Uint8Array>): AsyncGenerator<Uint8Array> {
  const reader = body.getReader();
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      yield value;
    }
  } finally {
    await reader.cancel().catch(() => undefined);
  }
}
