/**
 * How repeated photographs are laid out on the disk: DIR/PERSON/REPEAT/photographs, one photograph for each view.
 * Photographs straight in PERSON are repeats of one view each. DIR/PERSON/VISIT/REPEAT/photographs has visits with a real change
 * between them. Names that begin with a point, and files that are no photographs by their ending, are passed over.
 */
import { readdir, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { MOST_VIEWS } from '#shared/job.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { PHOTO_ENDINGS } from '#shared/upload.ts';

/** `label` is its place under DIR; `files` are whole paths. */
export type RepeatFolder = Readonly<{ label: string; files: readonly string[] }>;
/** One visit after another; most people have one. Each holds at least 2 repeats. */
export type PersonFolder = Readonly<{ name: string; visits: readonly (readonly RepeatFolder[])[] }>;

type Fault = 'no-folder' | 'layout' | 'one-repeat';
type Inside = Readonly<{ folders: readonly string[]; photos: readonly string[] }>;

const FORM = 'Lay them out as DIR/PERSON/REPEAT/front.jpg, with two or more repeats of each person';
const ENDINGS = PHOTO_ENDINGS.split(',');
/** "2" before "10". */
const inOrder = new Intl.Collator('en', { numeric: true }).compare;

export async function readRepeatLayout(dir: string): Promise<Outcome<PersonFolder[], Fault>> {
  const top = await inside(dir);
  if (!top) return refused('no-folder', `${dir} is no folder that can be read. Name the folder that holds a folder for each person.`);
  if (top.photos.length > 0)
    return refused('layout', `${dir} holds photographs itself (${top.photos[0]}), so it does not say whose they are. ${FORM}.`);
  if (top.folders.length === 0) return refused('layout', `${dir} holds no folders. ${FORM}.`);
  const people: PersonFolder[] = [];
  for (const name of top.folders) {
    const visits = await visitsOf(dir, name);
    if (!visits.ok) return visits;
    people.push({ name, visits: visits.value });
  }
  return found(people);
}

async function visitsOf(dir: string, name: string): Promise<Outcome<RepeatFolder[][], Fault>> {
  const person = await inside(join(dir, name));
  const folders = await Promise.all(
    (person?.folders ?? []).map(async (folder) => ({ folder, inside: await inside(join(dir, name, folder)) })),
  );
  const deeper = folders.filter((one) => (one.inside?.folders.length ?? 0) > 0);
  if (deeper.length === 0) {
    const repeats = await repeatsOf(dir, name);
    return repeats.ok ? found([repeats.value]) : repeats;
  }
  if (deeper.length < folders.length || (person?.photos.length ?? 0) > 0)
    return refused(
      'layout',
      `${name} mixes visits with repeats, so it is unclear what is compared with what. ${FORM}, or all as DIR/PERSON/VISIT/REPEAT.`,
    );
  const visits: RepeatFolder[][] = [];
  for (const { folder } of deeper) {
    const repeats = await repeatsOf(dir, join(name, folder));
    if (!repeats.ok) return repeats;
    visits.push(repeats.value);
  }
  return found(visits);
}

async function repeatsOf(dir: string, place: string): Promise<Outcome<RepeatFolder[], Fault>> {
  const here = await inside(join(dir, place));
  if (!here) return refused('layout', `${place} cannot be looked into. Change its permissions.`);
  if (here.photos.length > 0 && here.folders.length > 0)
    return refused('layout', `${place} holds photographs beside folders. Put each repeat into a folder of its own.`);
  const repeats: RepeatFolder[] = here.photos.map((photo) => ({ label: join(place, photo), files: [join(dir, place, photo)] }));
  for (const folder of here.folders) {
    const label = join(place, folder);
    const { photos = [], folders = [] } = (await inside(join(dir, label))) ?? {};
    if (folders.length > 0) return refused('layout', `${label} holds a folder (${folders[0]}), one level too deep. ${FORM}.`);
    if (photos.length === 0) return refused('layout', `${label} holds no photographs. Fill the folder or remove it.`);
    if (photos.length > MOST_VIEWS)
      return refused(
        'layout',
        `${label} holds ${photos.length} photographs; a repeat has one for each view, ${MOST_VIEWS} at most. Split it into repeats.`,
      );
    repeats.push({ label, files: photos.map((photo) => join(dir, label, photo)) });
  }
  if (repeats.length < 2)
    return refused(
      'one-repeat',
      `${place} has ${repeats.length === 0 ? 'no photographs' : 'one repeat only'}. An error shows only between two: photograph the person again, or take the folder away.`,
    );
  return found(repeats);
}

/** Null when it is no folder, or may not be read. */
async function inside(path: string): Promise<Inside | null> {
  try {
    const names = (await readdir(path)).filter((name) => !name.startsWith('.')).sort(inOrder);
    const folders: string[] = [];
    const photos: string[] = [];
    for (const name of names) {
      if ((await stat(join(path, name))).isDirectory()) folders.push(name);
      else if (ENDINGS.some((ending) => name.toLowerCase().endsWith(ending))) photos.push(name);
    }
    return { folders, photos };
  } catch {
    return null;
  }
}
