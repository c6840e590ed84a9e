/**
 * Rows become visits: the photographs of one subject on one occasion. A row that contradicts an earlier one is reported and left
 * out; the earlier ones stand.
 */
import type { View } from '#shared/comparison.ts';
import { insideFolder } from '#shared/inside-folder.ts';
import { MOST_VIEWS } from '#shared/job.ts';
import type { SeriesPhoto } from '#shared/series.ts';
import type { ZoneId } from '#shared/zones.ts';
import type { ManifestRow } from './manifest-row.ts';

export const MANIFEST_FAULTS = [
  'cell',
  'cell-count',
  'file-outside',
  'file-missing',
  'same-file',
  'duplicate-view',
  'too-many-views',
  'visit-disagrees',
  'group-disagrees',
  'two-baselines',
  'no-baseline',
  'no-such-visit',
  'repeat-of-repeat',
  'wrong-order',
  'repeat-too-late',
  'grade',
  'grade-place',
  'grade-disagrees',
] as const;
export type ManifestFaultCode = (typeof MANIFEST_FAULTS)[number];

/** `line` is the row's place; `message` says what is wrong and what to do. */
export type ManifestFault = Readonly<{ line: number; code: ManifestFaultCode; message: string }>;

export type Visit = {
  subject: string;
  visit: string;
  role: ManifestRow['role'];
  repeatOf: string | null;
  date: string | null;
  treatedOn: string | null;
  zones: readonly ZoneId[];
  photos: SeriesPhoto[];
  /** The rows that it is made of; the first speaks for it. */
  lines: number[];
};

export type Subject = { subject: string; group: string | null; visits: Map<string, Visit> };

type Placed = Readonly<{ line: number; row: ManifestRow }>;

/** `has` says whether a photograph is there; asked only of files that stay in the folder. */
export function visitsOf(
  rows: readonly Placed[],
  has: (file: string) => boolean,
): Readonly<{ subjects: readonly Subject[]; kept: ReadonlySet<number>; faults: readonly ManifestFault[] }> {
  const subjects = new Map<string, Subject>();
  const files = new Map<string, number>();
  const kept = new Set<number>();
  const faults: ManifestFault[] = [];
  for (const { line, row } of rows) {
    const fault = fileFault(row, files, has) ?? place(subjects, line, row);
    if (fault) faults.push({ line, ...fault });
    else {
      files.set(row.file, line);
      kept.add(line);
    }
  }
  return { subjects: [...subjects.values()], kept, faults };
}

type Wrong = Omit<ManifestFault, 'line'>;

function fileFault({ file }: ManifestRow, files: ReadonlyMap<string, number>, has: (file: string) => boolean): Wrong | null {
  if (!insideFolder(file))
    return {
      code: 'file-outside',
      message: `"${file}" leads out of the manifest's folder. Name it from that folder, with forward slashes; move the manifest up if need be.`,
    };
  const former = files.get(file);
  if (former !== undefined)
    return { code: 'same-file', message: `"${file}" stands in row ${former} already. A photograph belongs to one visit.` };
  if (!has(file)) return { code: 'file-missing', message: `There is no file "${file}" in the manifest's folder. Check its name.` };
  return null;
}

function place(subjects: Map<string, Subject>, line: number, row: ManifestRow): Wrong | null {
  const subject = subjects.get(row.subject) ?? { subject: row.subject, group: null, visits: new Map<string, Visit>() };
  if (subject.group !== null && row.group !== null && subject.group !== row.group)
    return {
      code: 'group-disagrees',
      message: `${row.subject} is in group "${subject.group}" above and in "${row.group}" here. A subject belongs to one group.`,
    };
  const visit = subject.visits.get(row.visit);
  const wrong = visit ? disagreement(visit, row) : secondBaseline(subject, row);
  if (wrong) return wrong;
  subject.group ??= row.group;
  subjects.set(row.subject, subject);
  const photo: SeriesPhoto = { file: row.file, view: row.view };
  if (!visit) {
    const { subject: who, visit: when, role, repeatOf, date, treatedOn, zones } = row;
    subject.visits.set(when, { subject: who, visit: when, role, repeatOf, date, treatedOn, zones, photos: [photo], lines: [line] });
    return null;
  }
  visit.repeatOf ??= row.repeatOf;
  visit.date ??= row.date;
  visit.treatedOn ??= row.treatedOn;
  if (visit.zones.length === 0) visit.zones = row.zones;
  visit.photos.push(photo);
  visit.lines.push(line);
  return null;
}

function secondBaseline(subject: Subject, row: ManifestRow): Wrong | null {
  if (row.role !== 'baseline') return null;
  const former = [...subject.visits.values()].find(({ role }) => role === 'baseline');
  if (!former) return null;
  return {
    code: 'two-baselines',
    message: `${row.subject} has a baseline already, the visit "${former.visit}". Make one of the two a follow-up or a repeat.`,
  };
}

/** What may not differ between the photographs of one visit. */
function disagreement(visit: Visit, row: ManifestRow): Wrong | null {
  const name = `the visit "${visit.visit}" of ${visit.subject}`;
  for (const field of ['role', 'date', 'treatedOn', 'repeatOf'] as const)
    if (visit[field] !== null && row[field] !== null && visit[field] !== row[field])
      return {
        code: 'visit-disagrees',
        message: `"${field}" of ${name} is ${visit[field]} above and ${row[field]} here. A visit has one; call the other visit something else.`,
      };
  if (visit.zones.length > 0 && row.zones.length > 0 && [...visit.zones].sort().join() !== [...row.zones].sort().join())
    return { code: 'visit-disagrees', message: `"zones" of ${name} differ from those above. Write them on one row, or the same on all.` };
  if (row.view !== null && visit.photos.some(({ view }) => view === row.view)) return duplicateView(row.view, name);
  if (visit.photos.length >= MOST_VIEWS)
    return {
      code: 'too-many-views',
      message: `There are more than ${MOST_VIEWS} photographs in ${name}; one of each view is compared. Make a repeat of the others.`,
    };
  return null;
}

const duplicateView = (view: View, name: string): Wrong => ({
  code: 'duplicate-view',
  message: `There is a ${view} view in ${name} already. Leave one out, or make a repeat of it: a visit of its own with the role repeat.`,
});
