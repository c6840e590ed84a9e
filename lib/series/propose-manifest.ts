/**
 * A manifest proposed from photographs that are only known by their place, time and pose: visits by day, the first one the baseline,
 * a second photograph of the same view on the same day a repeat. A proposal: whoever took the photographs looks through it.
 */
import { stringify } from 'csv-stringify/sync';
import type { View } from '#shared/comparison.ts';
import { MANIFEST_FIELDS, type ManifestRow, readRow } from './manifest-row.ts';

export type FoundPhoto = Readonly<{
  /** From the folder, with forward slashes; its first part is the subject. */
  file: string;
  /** As the camera wrote it, `YYYY-MM-DDThh:mm:ss`, or null. */
  takenAt: string | null;
  /** Null when no face was recognised. */
  view: View | null;
}>;

export type Proposal = Readonly<{
  rows: readonly ManifestRow[];
  /** What the reader should look at, in whole sentences. */
  remarks: readonly string[];
}>;

type Dated = FoundPhoto & Readonly<{ subject: string; day: string | null; visit: string }>;

const UNDATED = 'undated';
/** "2" before "10". */
const inOrder = new Intl.Collator('en', { numeric: true }).compare;

export function proposeManifest(photos: readonly FoundPhoto[]): Proposal {
  const remarks: string[] = [];
  const usable = photos.filter(({ file, view }) => {
    if (!file.includes('/')) remarks.push(`${file} lies in no subject's folder, so it is left out.`);
    else if (view === null) remarks.push(`${file} shows no face that could be used, so it is left out.`);
    return file.includes('/') && view !== null;
  });
  const rows = [...grouped(usable.map(dated), ({ subject }) => subject)].flatMap(([subject, mine]) => rowsOf(subject, mine, remarks));
  const fit = rows.filter((row) => {
    const { wrong } = readRow(row);
    if (wrong) remarks.push(`${row.file} cannot be listed: ${wrong[0]!.message} Rename its folder.`);
    return !wrong;
  });
  return { rows: fit, remarks };
}

/** For the file; empty cells are to be filled in by hand. */
export const manifestCsv = (rows: readonly ManifestRow[]): string =>
  stringify(
    rows.map((row) => MANIFEST_FIELDS.map((field) => (field === 'zones' ? row.zones.join(';') : row[field]))),
    { header: true, columns: [...MANIFEST_FIELDS], record_delimiter: '\r\n' },
  );

/** The day is the camera's, else one that stands in the path. */
function dated(photo: FoundPhoto): Dated {
  const [subject, ...rest] = photo.file.split('/') as [string, ...string[]];
  const day =
    photo.takenAt?.slice(0, 10) ?? /(?<!\d)\d{4}-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d|3[01])(?!\d)/.exec(rest.join('/'))?.[0] ?? null;
  return { ...photo, subject, day, visit: day ?? (rest.slice(0, -1).join(' ') || UNDATED) };
}

function rowsOf(subject: string, photos: readonly Dated[], remarks: string[]): ManifestRow[] {
  const visits = [...grouped(photos, ({ visit }) => visit)].sort(([a, [one]], [b, [other]]) => {
    const [day, otherDay] = [one!.day ?? '9999', other!.day ?? '9999'];
    return day < otherDay ? -1 : day > otherDay ? 1 : inOrder(a, b);
  });
  const undated = visits.filter(([, [one]]) => one!.day === null).map(([visit]) => `"${visit}"`);
  if (undated.length > 0 && visits.length > 1)
    remarks.push(`${subject}: ${undated.join(', ')} says no day, so its place in time is a guess by its name. Fill in the dates.`);
  if (visits.length === 1 && new Set(photos.map(({ view }) => view)).size === photos.length)
    remarks.push(`${subject} has one visit and nothing repeated, so nothing can be compared.`);
  return visits.flatMap(([visit, mine], place) => {
    const times = new Map<View, number>();
    const inTime = mine.toSorted((a, b) => {
      const [one, other] = [a.takenAt ?? '', b.takenAt ?? ''];
      return one < other ? -1 : one > other ? 1 : inOrder(a.file, b.file);
    });
    return inTime.map(({ file, view, day }): ManifestRow => {
      const time = (times.get(view!) ?? 0) + 1;
      times.set(view!, time);
      const repeat = time > 1;
      return {
        subject,
        visit: repeat ? `${visit} repeat ${time - 1}` : visit,
        date: day,
        view,
        file,
        role: repeat ? 'repeat' : place === 0 ? 'baseline' : 'follow-up',
        group: null,
        treatedOn: null,
        zones: [],
        repeatOf: repeat ? visit : null,
      };
    });
  });
}

function grouped<T>(all: readonly T[], keyOf: (one: T) => string): Map<string, T[]> {
  const groups = new Map<string, T[]>();
  for (const one of all) groups.set(keyOf(one), [...(groups.get(keyOf(one)) ?? []), one]);
  return groups;
}
