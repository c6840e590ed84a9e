/**
 * GET a file of a comparison by its fixed name (shared/plates.ts, shared/field.ts, lib/record): pictures, maps, number fields, surface, evidence, report, table.
 * `?save` offers it as a download.
 */

import { bytesAnswer, noSuchAddress } from '#app/_server/answer.ts';
import { noteComparison } from '#app/_server/note-comparison.ts';
import { record } from '#app/_server/record.ts';
import { unsealed } from '#app/_server/unsealed.ts';
import { withheldAnswer } from '#app/_server/withheld.ts';
import { REPORT_FILES } from '#lib/record/types.ts';
import { FIELD_FILE_NAMES } from '#shared/field.ts';
import { idSchema } from '#shared/job.ts';
import { PLATE_FILE, plateFileHeaders } from '#shared/plates.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

/** The report is one file without scripts; its pictures and styles are inside it. */
const REPORT_POLICY =
  "default-src 'none'; img-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox allow-modals";

export async function GET(request: Request, { params }: { params: Promise<{ id: string; name: string }> }): Promise<Response> {
  const { id: rawId, name } = await params;
  const id = idSchema.safeParse(rawId);
  const headers = headersOf(name);
  const hidden = id.success ? await withheldAnswer(id.data) : null;
  if (hidden) return hidden;
  return unsealed(async () => {
    const bytes = id.success && headers ? await record().plateFile(id.data, name) : null;
    if (!bytes || !headers || !id.success) return noSuchAddress();
    const save = new URL(request.url).searchParams.has('save');
    // Pictures and fields come with the page, which leaves its own line; what is saved, or read by itself, leaves one of its own.
    if (save || (REPORT_FILES as readonly string[]).includes(name)) await noteComparison(save ? 'export' : 'view', id.data, { file: name });
    return bytesAnswer(bytes, {
      ...headers,
      ...(save ? { 'Content-Disposition': `attachment; filename="ebbline-${id.data.slice(0, 8)}-${name}"` } : {}),
    });
  });
}

/** Null for every name that no comparison can have. */
function headersOf(name: string): Record<string, string> | null {
  // A route cannot set Content-Encoding under Next, so the page unpacks the number fields itself.
  if (PLATE_FILE.test(name) || FIELD_FILE_NAMES.includes(name)) return { 'Content-Type': plateFileHeaders(name)['Content-Type'] };
  if (!(REPORT_FILES as readonly string[]).includes(name)) return null;
  if (name.endsWith('.csv')) return { 'Content-Type': 'text/csv; charset=utf-8' };
  return { 'Content-Type': 'text/html; charset=utf-8', 'Content-Security-Policy': REPORT_POLICY };
}
