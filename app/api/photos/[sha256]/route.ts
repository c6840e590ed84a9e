/** GET tells what is on the shelf under a hash; DELETE takes it off, unless a comparison or a case still uses it. */

import { book } from '#app/_server/actor.ts';
import { answer, noSuchAddress, problem } from '#app/_server/answer.ts';
import { record } from '#app/_server/record.ts';
import { sha256Schema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

type Context = { params: Promise<{ sha256: string }> };

export async function GET(_request: Request, { params }: Context): Promise<Response> {
  const sha256 = sha256Schema.safeParse((await params).sha256);
  const photo = sha256.success ? await record().photo(sha256.data) : null;
  return photo ? answer({ photo }) : noSuchAddress();
}

export async function DELETE(_request: Request, { params }: Context): Promise<Response> {
  const sha256 = sha256Schema.safeParse((await params).sha256);
  if (!sha256.success) return noSuchAddress();
  if (await record().removePhoto(sha256.data)) {
    await (await book()).note({ action: 'delete', what: 'photo', id: sha256.data, case: null, facts: {} });
    return answer({ removed: true });
  }
  return problem(409, 'in-use', 'This photograph is kept, because a comparison or a case uses it.', 'Remove it there first.');
}
