/**
 * One row of a manifest: one photograph, whose it is, when it was taken and what it is for.
 * In CSV an empty cell is null, and zones are parted by semicolons; in JSON a row is this object.
 */
import { z } from 'zod';
import { VIEWS, viewSchema, zoneIdSchema } from '#shared/comparison.ts';
import { daySchema } from '#shared/job.ts';
import { labelSchema } from '#shared/series.ts';
import { ZONE_IDS } from '#shared/zones.ts';

export const MANIFEST_SCHEMA = 'ebbline.manifest/1';
export const MANIFEST_ROLES = ['baseline', 'follow-up', 'repeat'] as const;

/** A spreadsheet would take a label that begins so for a formula. */
const plainLabelSchema = labelSchema.regex(/^[^=+\-@]/, 'may not begin with =, +, - or @');

export const manifestRowSchema = z.object({
  subject: plainLabelSchema.describe('Who is shown, as a code of your own; never a name.'),
  visit: plainLabelSchema.describe('What the visit is called; photographs of one visit share it.'),
  date: daySchema.nullable().describe('Day of the photographs. Empty: the cameras say.'),
  view: viewSchema.nullable().describe('The view that the photograph shows. Empty: recognised by pose.'),
  file: z
    .string()
    .trim()
    .min(1)
    .max(1000)
    .describe("The photograph, from the manifest's folder, with forward slashes; it may not lead out of the folder."),
  role: z
    .enum(MANIFEST_ROLES)
    .describe(
      'baseline: what every follow-up of the subject is compared with. follow-up: compared with the baseline. ' +
        'repeat: photographed again with nothing changed, to show how well the measurement repeats.',
    ),
  group: plainLabelSchema.nullable().describe('The group that the subject belongs to, for comparing groups.'),
  treatedOn: daySchema.nullable().describe('Day of the treatment.'),
  zones: z.array(zoneIdSchema).describe('Zones treated or complained of, named before the measurement; parted by semicolons in CSV.'),
  repeatOf: plainLabelSchema.nullable().describe('For a repeat: the visit that it repeats. Empty: the baseline.'),
});
export type ManifestRow = z.infer<typeof manifestRowSchema>;
export const MANIFEST_FIELDS = Object.keys(manifestRowSchema.shape) as (keyof ManifestRow)[];

/** Columns that a manifest may not do without. */
export const REQUIRED_FIELDS = ['subject', 'visit', 'file', 'role'] as const satisfies readonly (keyof ManifestRow)[];

/** `rater:NAME` grades the whole face, `rater:NAME:ZONE` one zone. Null for any other column. */
export function raterColumn(column: string): Readonly<{ rater: string; zone: string | null }> | null {
  const match = /^rater:([^:]+)(?::([^:]+))?$/.exec(column);
  return match ? { rater: match[1]!.trim(), zone: match[2]?.trim() ?? null } : null;
}

/** What a row's cells came as: text in CSV, any JSON value in JSON; absent ones are undefined. */
export type RawRow = Readonly<Record<string, unknown>>;

/** The row, or of each cell that does not fit what would. */
export function readRow(
  raw: RawRow,
): Readonly<{ row: ManifestRow; wrong: null }> | Readonly<{ row: null; wrong: readonly Readonly<{ field: string; message: string }>[] }> {
  const cells = Object.fromEntries(
    MANIFEST_FIELDS.map((field) => [field, field === 'zones' ? zoneList(raw.zones) : (blank(raw[field]) ?? null)]),
  );
  const parsed = manifestRowSchema.safeParse(cells);
  if (parsed.success) return { row: { ...parsed.data, zones: [...new Set(parsed.data.zones)] }, wrong: null };
  const fields = [...new Set(parsed.error.issues.map(({ path }) => String(path[0])))] as (keyof ManifestRow)[];
  return { row: null, wrong: fields.map((field) => ({ field, message: wrongCell(field, cells[field]) })) };
}

const blank = (value: unknown): unknown => (typeof value === 'string' && value.trim() === '' ? undefined : value);

function zoneList(value: unknown): unknown {
  if (value === undefined || value === null) return [];
  if (typeof value !== 'string') return value;
  return value
    .split(';')
    .map((zone) => zone.trim())
    .filter(Boolean);
}

function wrongCell(field: keyof ManifestRow, value: unknown): string {
  const shown = JSON.stringify(value);
  if ((REQUIRED_FIELDS as readonly string[]).includes(field) && value === null) return `"${field}" is empty. Every photograph needs one.`;
  switch (field) {
    case 'date':
    case 'treatedOn':
      return `"${field}" is ${shown}, which is no day. Write it as year-month-day, such as 2026-09-01.`;
    case 'view':
      return `"view" is ${shown}, which is no view. The views are ${VIEWS.join(', ')}; leave it empty to have it recognised.`;
    case 'role':
      return `"role" is ${shown}. A photograph is one of ${MANIFEST_ROLES.join(', ')}.`;
    case 'zones':
      return strangeZone(value, shown);
    case 'file':
      return `"file" is ${shown}, which is no file name. Name the photograph from the manifest's folder.`;
    case 'subject':
    case 'visit':
    case 'group':
    case 'repeatOf':
      return `"${field}" is ${shown}. It may have 1 to 80 characters, no slash and no control character, and may not begin with =, +, - or @.`;
    default:
      return field satisfies never;
  }
}

function strangeZone(value: unknown, shown: string): string {
  const known: readonly unknown[] = ZONE_IDS;
  const strange = Array.isArray(value) ? value.find((zone) => !known.includes(zone)) : undefined;
  return `There is no zone ${strange === undefined ? shown : JSON.stringify(strange)}. The zones are ${ZONE_IDS.join(', ')}; part several by semicolons.`;
}
