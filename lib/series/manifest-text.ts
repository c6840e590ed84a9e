/**
 * A manifest's text becomes rows with their places, before anything is asked of their content.
 * CSV after RFC 4180, parted by commas, semicolons or tabs as its first line shows; or JSON of the form
 * { "schema": "ebbline.manifest/1", "photographs": [ ... ] }.
 */
import { parse } from 'csv-parse/sync';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { MANIFEST_FIELDS, MANIFEST_SCHEMA, type RawRow, REQUIRED_FIELDS, raterColumn } from './manifest-row.ts';

export type ManifestFormat = 'csv' | 'json';
export type TextFault = 'not-a-manifest' | 'columns' | 'empty';

/** `line` is the line of the file where the row begins, the head being 1; in JSON the number of the entry, from 1. */
export type PlacedRow = Readonly<{ line: number; raw: RawRow; cells: number }>;
export type ManifestText = Readonly<{ columns: readonly string[]; rows: readonly PlacedRow[] }>;

export function readManifestText(text: string, format: ManifestFormat): Outcome<ManifestText, TextFault> {
  const read = format === 'csv' ? readCsv(text) : readJson(text);
  if (!read.ok) return read;
  const { columns, rows } = read.value;
  if (rows.length === 0) return refused('empty', 'The manifest holds no photographs. Give each photograph a row.');
  const strange = columns.find((column) => !(MANIFEST_FIELDS as string[]).includes(column) && !raterColumn(column));
  if (strange !== undefined)
    return refused(
      'columns',
      `The manifest has a column "${strange}" that is not known. The columns are ${MANIFEST_FIELDS.join(', ')}, and rater:NAME or rater:NAME:ZONE for grades.`,
    );
  const missing = REQUIRED_FIELDS.find((field) => !columns.includes(field));
  return missing ? refused('columns', `The manifest has no column "${missing}". Every photograph needs one.`) : read;
}

type Placed = Readonly<{ record: string[]; raw: string; info: { lines: number } }>;

function readCsv(text: string): Outcome<ManifestText, TextFault> {
  const head = text.replace(/^\uFEFF/, '').split(/\r?\n/, 1)[0]!;
  const delimiter = [',', ';', '\t'].reduce((best, one) => (head.split(one).length > head.split(best).length ? one : best), ',');
  let records: Placed[];
  try {
    const how = { bom: true, delimiter, info: true, raw: true, relaxColumnCount: true, skipEmptyLines: true, trim: true } as const;
    records = parse(text, how) as unknown as Placed[]; // its types do not know what info and raw add
  } catch (error) {
    return refused('not-a-manifest', `The manifest is no CSV that can be read: ${(error as Error).message}. Save it anew as CSV.`);
  }
  const [first, ...rest] = records;
  const columns = first?.record.map((column) => column.trim()) ?? [];
  const twice = columns.find((column, k) => columns.indexOf(column) < k);
  if (twice !== undefined) return refused('columns', `The manifest has the column "${twice}" twice. Keep one of them.`);
  const rows = rest.map(({ record, raw, info }): PlacedRow => {
    const within = raw.trim().split(/\r\n|\r|\n/).length - 1;
    return { line: info.lines - within, raw: Object.fromEntries(columns.map((column, k) => [column, record[k]])), cells: record.length };
  });
  return found({ columns, rows });
}

function readJson(text: string): Outcome<ManifestText, TextFault> {
  const form = `A manifest in JSON has the form { "schema": "${MANIFEST_SCHEMA}", "photographs": [ ... ] }`;
  let read: unknown;
  try {
    read = JSON.parse(text);
  } catch (error) {
    return refused('not-a-manifest', `The manifest is no JSON that can be read: ${(error as Error).message}. ${form}.`);
  }
  const { schema, photographs } = (read ?? {}) as { schema?: unknown; photographs?: unknown };
  if (schema !== MANIFEST_SCHEMA || !Array.isArray(photographs)) return refused('not-a-manifest', `${form}.`);
  const rows = photographs.map((entry, k): PlacedRow => {
    const raw = typeof entry === 'object' && entry !== null ? (entry as RawRow) : {};
    return { line: k + 1, raw, cells: Object.keys(raw).length };
  });
  return found({ columns: [...new Set([...REQUIRED_FIELDS, ...rows.flatMap(({ raw }) => Object.keys(raw))])], rows });
}
