/** GET a file that a series made: a table, the study, or an export without names. `?save` offers it as a download. */
import { book } from '#app/_server/actor.ts';
import { noSuchAddress, UNKEPT } from '#app/_server/answer.ts';
import { record } from '#app/_server/record.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const TYPES: Readonly<Record<string, string>> = {
  csv: 'text/csv; charset=utf-8',
  json: 'application/json; charset=utf-8',
  parquet: 'application/vnd.apache.parquet',
  pdf: 'application/pdf',
  html: 'text/html; charset=utf-8',
};

/** The study is one file without scripts; its plots and styles are inside it. */
const REPORT_POLICY =
  "default-src 'none'; img-src data:; font-src data:; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; sandbox allow-modals";

export async function GET(request: Request, { params }: { params: Promise<{ id: string; set: string; name: string }> }): Promise<Response> {
  const { id, set, name } = await params;
  const file = await record().openSeriesFile(id, set, name);
  if (!file) return noSuchAddress();
  const ending = name.slice(name.lastIndexOf('.') + 1);
  const save = new URL(request.url).searchParams.has('save') || !['html', 'pdf'].includes(ending);
  await (await book()).note({ action: save ? 'export' : 'view', what: 'series', id, case: null, facts: { file: `${set}/${name}` } });
  return new Response(file.stream, {
    headers: {
      ...UNKEPT,
      'Content-Type': TYPES[ending] ?? 'application/octet-stream',
      'Content-Length': String(file.bytes),
      ...(ending === 'html' ? { 'Content-Security-Policy': REPORT_POLICY } : {}),
      'Content-Disposition': `${save ? 'attachment' : 'inline'}; filename="${set === 'deidentified' ? 'deidentified-' : ''}${name}"`,
    },
  });
}
