/** GET the upright small picture of a photograph, once its check has made one. */

import { bytesAnswer, noSuchAddress } from '#app/_server/answer.ts';
import { record } from '#app/_server/record.ts';
import { unsealed } from '#app/_server/unsealed.ts';
import { sha256Schema } from '#shared/job.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function GET(_request: Request, { params }: { params: Promise<{ sha256: string }> }): Promise<Response> {
  const sha256 = sha256Schema.safeParse((await params).sha256);
  return unsealed(async () => {
    const jpeg = sha256.success ? await record().preview(sha256.data) : null;
    return jpeg ? bytesAnswer(jpeg, { 'Content-Type': 'image/jpeg' }) : noSuchAddress();
  });
}
