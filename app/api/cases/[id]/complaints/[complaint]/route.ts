/** GET a complaint as it is recorded: what was said and graded, and never a measured value. */
import { answer, noSuchAddress } from '#app/_server/answer.ts';
import { complaintOf } from '#app/_server/complaint-of.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

export async function GET(_request: Request, { params }: { params: Promise<{ id: string; complaint: string }> }): Promise<Response> {
  const found = await complaintOf(params);
  return found ? answer(found.complaint) : noSuchAddress();
}
