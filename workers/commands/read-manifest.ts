/** A manifest named on the command line, read and looked through; what is wrong with it is told. */
import { statSync } from 'node:fs';
import { readFile } from 'node:fs/promises';
import { basename, dirname, join, resolve } from 'node:path';
import { sha256Of } from '#lib/record/series/pack.ts';
import { faultLine, type Manifest, readManifest } from '#lib/series/manifest.ts';
import { EXIT, type ExitCode, type World } from './command.ts';

export type NamedManifest = Readonly<{
  manifest: Manifest;
  name: string;
  sha256: string;
  /** Where photographs are named from. */
  folder: string;
}>;

/** Faults that are told one by one; `failures.csv` and `series check --all` have all. */
const SHOWN = 20;

/**
 * Null when it cannot be used; it has been told why, and `exit` says how to end. `looked`: whether the files themselves are looked for;
 * those in a store are not.
 */
export async function manifestNamed(
  path: string,
  world: World,
  { looked = true, shown = SHOWN } = {},
): Promise<Readonly<{ read: NamedManifest } | { read: null; exit: ExitCode }>> {
  const folder = dirname(resolve(path));
  const bytes = await readFile(path).catch((error: NodeJS.ErrnoException) => error);
  if (bytes instanceof Error) {
    world.err(bytes.code === 'ENOENT' ? `There is no manifest ${path}.\n` : `${path} could not be read (${bytes.code}).\n`);
    return { read: null, exit: EXIT.unreadable };
  }
  let text: string;
  try {
    text = new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    world.err(`${path} is not in UTF-8, so names may be read wrongly. Save it as CSV UTF-8.\n`);
    return { read: null, exit: EXIT.unreadable };
  }
  const there = (file: string): boolean => statSync(join(folder, file), { throwIfNoEntry: false })?.isFile() ?? false;
  const read = readManifest(text, /\.json$/i.test(path) ? 'json' : 'csv', looked ? there : () => true);
  if (!read.ok) {
    world.err(`${read.detail}\n`);
    return { read: null, exit: EXIT.unreadable };
  }
  const { faults } = read.value;
  if (faults.length > 0) {
    world.err(`${faults.length === 1 ? 'One thing is' : `${faults.length} things are`} wrong with ${path}:\n`);
    world.err(
      faults
        .slice(0, shown)
        .map((fault) => `  ${faultLine(fault)}\n`)
        .join(''),
    );
    if (faults.length > shown) world.err(`  and ${faults.length - shown} more; ebbline series check ${path} --all shows them.\n`);
  }
  return { read: { manifest: read.value, name: basename(path), sha256: sha256Of(bytes), folder } };
}
