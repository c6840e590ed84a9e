/** `ebbline series init`: proposes a manifest from a folder of photographs, by the cameras' clocks and the pose of each face. */
import { link, mkdir, readdir, rename, rm, stat, writeFile } from 'node:fs/promises';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { type FoundPhoto, manifestCsv, proposeManifest } from '#lib/series/propose-manifest.ts';
import { PHOTO_ENDINGS } from '#shared/upload.ts';
import { unfinishedBeside } from '#workers/series/text-file.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { showProgress } from './progress.ts';
import { readSource } from './read-files.ts';

const help = `ebbline series init - propose a manifest from a folder of photographs

  ebbline series init FOLDER [--out FILE] [--force]

FOLDER holds a folder for each subject, and in it the photographs, in any folders. Visits are told apart by the day that the camera
wrote, or that stands in a name (2026-09-01); the first is the baseline, later ones are follow-ups. A second photograph of one view
on one day becomes a repeat. Look through the proposal, and fill in groups, treatment days, zones and grades where you have them.

  --out FILE    where to write it; FOLDER/manifest.csv as usual. Photographs are named from its folder, which must hold FOLDER
  --force       replaces a manifest that is there

Exit codes: 0 written, 2 wrong usage, 3 no photograph could be used, 4 unreadable input.

Example
  ebbline series init study
`;

const ENDINGS = PHOTO_ENDINGS.split(',');
const inOrder = new Intl.Collator('en', { numeric: true }).compare;

export const seriesInit: Command = {
  name: 'series init',
  summary: 'propose a manifest from a folder of photographs',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { out: 'one', force: 'none' });
    const [folder, stray] = given.words;
    if (folder === undefined) throw new UsageError('Name the folder that holds a folder for each subject.');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    const out = resolve(given.one('out') ?? join(folder, 'manifest.csv'));
    const fromOut = relative(dirname(out), resolve(folder)).split(sep).join('/');
    if (fromOut.startsWith('..'))
      throw new UsageError(`--out ${given.one('out')} lies outside of ${folder}'s own folder, and a manifest can't name files further up.`);
    if (!given.has('force') && (await exists(out)))
      throw new UsageError(`${out} is there already. Name another file with --out, or replace it with --force.`);
    const files = await photographsIn(folder).catch((error: NodeJS.ErrnoException) => {
      world.err(`${folder} is no folder that can be read (${error.code}).\n`);
      return null;
    });
    if (files === null) return EXIT.unreadable;

    const progress = showProgress(world.err, world);
    progress.step('Loading the models', 0);
    const measuring = await world.measuring();
    const found: FoundPhoto[] = [];
    for (const [k, file] of files.entries()) {
      progress.step(`Looking at ${file}`, k / files.length);
      const source = await readSource(join(folder, file));
      const checked = source.ok ? await measuring.checkPhoto(source.value, {}) : source;
      const takenAt = source.ok ? await measuring.takenAt(source.value) : null;
      found.push({ file, takenAt, view: checked.ok ? checked.value.view : null });
    }
    progress.end();
    const { rows, remarks } = proposeManifest(found);
    for (const remark of remarks) world.err(`${remark}\n`);
    if (rows.length === 0) {
      world.err(`No photograph in ${folder} could be used. Lay them out as FOLDER/SUBJECT/photographs.\n`);
      return EXIT.notComparable;
    }
    const placed = rows.map((row) => ({ ...row, file: fromOut === '' ? row.file : `${fromOut}/${row.file}` }));
    await place(out, manifestCsv(placed), given.has('force'));
    const subjects = new Set(rows.map(({ subject }) => subject)).size;
    world.out(
      `${rows.length} photographs of ${subjects} subjects, written to ${out}. Look through it, then: ebbline series run ${out} --out DIR\n`,
    );
    return EXIT.done;
  },
};

const exists = (path: string): Promise<boolean> =>
  stat(path).then(
    () => true,
    () => false,
  );

/** From the folder, with forward slashes, in their order; names that begin with a point are passed over. */
async function photographsIn(folder: string, under = ''): Promise<string[]> {
  const entries = (await readdir(join(folder, under), { withFileTypes: true })).filter(({ name }) => !name.startsWith('.'));
  const files: string[] = [];
  for (const entry of entries.sort((a, b) => inOrder(a.name, b.name))) {
    const file = under === '' ? entry.name : `${under}/${entry.name}`;
    if (entry.isDirectory()) files.push(...(await photographsIn(folder, file)));
    else if (ENDINGS.some((ending) => entry.name.toLowerCase().endsWith(ending))) files.push(file);
  }
  return files;
}

/** Whole or not at all; without `force` it is linked into its place, which fails when another program was quicker. */
async function place(out: string, text: string, force: boolean): Promise<void> {
  const unfinished = unfinishedBeside(out);
  try {
    await mkdir(dirname(out), { recursive: true });
    await writeFile(unfinished, text, { flag: 'wx' });
    if (force) await rename(unfinished, out);
    else await link(unfinished, out);
  } catch (error) {
    throw new UsageError(
      `${out} could not be written (${(error as NodeJS.ErrnoException).code ?? String(error)}). Name another file with --out.`,
    );
  } finally {
    await rm(unfinished, { force: true });
  }
}
