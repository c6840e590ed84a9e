/** `ebbline series export`: the tables of a series as it is now, or without anything that leads back to a person. */
import { mkdir, readdir } from 'node:fs/promises';
import { dirname, join, resolve } from 'node:path';
import { deidentifier } from '#lib/series/deidentify.ts';
import { deidentifyKey } from '#workers/series/deidentify-key.ts';
import { openStore } from '#workers/series/open-place.ts';
import { writeTables } from '#workers/series/write-tables.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { showProgress } from './progress.ts';
import { existingPlace, withStore } from './series-place.ts';

const KEY_FILE = 'deidentify.key';

const help = `ebbline series export - write the tables of a series again

  ebbline series export DIR [--out DIR2]
  ebbline series export DIR --deidentified DIR2 [--key FILE] [--keep-groups]
  ebbline series export --queue URL --name NAME --out DIR2

Writes what is answered by now; the series may still be running.

  --out DIR2             where the tables go; DIR as usual
  --deidentified DIR2    writes them there without paths, file names, cameras, sentences or days: subjects, visits, groups and raters
                         go by codes under a key that stays behind; days become days since the baseline or the treatment
  --key FILE             the key; DIR/${KEY_FILE} as usual, made when it is not there. The same key gives the same codes
  --keep-groups          leaves the groups' names
  --queue URL, --name NAME    of a series on many machines

Whoever has the key and the names can find who a code is. Keep it where you keep the names, and never beside the export.
Exit codes: 0 written, 2 wrong usage.

Examples
  ebbline series export results
  ebbline series export results --deidentified for-the-journal --keep-groups
`;

export const seriesExport: Command = {
  name: 'series export',
  summary: 'write the tables again',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { out: 'one', deidentified: 'one', key: 'one', 'keep-groups': 'none', queue: 'one', name: 'one' });
    const place = existingPlace(given, world.env);
    const home = place.kind === 'sqlite' ? dirname(place.file) : null;
    const shared = given.one('deidentified') ?? null;
    if (shared !== null && given.has('out')) throw new UsageError('--deidentified names where it goes, so --out is not needed.');
    if (shared === null && (given.has('key') || given.has('keep-groups')))
      throw new UsageError('--key and --keep-groups go with --deidentified.');
    const out = shared ?? given.one('out') ?? home;
    if (out === null) throw new UsageError('Say where the tables go with --out DIR2.');
    if (shared !== null) await checkShared(shared, home);
    const keyFile = given.one('key') ?? (home === null ? null : join(home, KEY_FILE));
    if (shared !== null && keyFile === null) throw new UsageError('Say where the key is, or is to be kept, with --key FILE.');
    if (shared !== null && dirname(resolve(keyFile!)) === resolve(shared))
      throw new UsageError('The key may not lie beside the export: whoever has both can find who a code is. Name another file with --key.');
    return withStore(openStore(place), async (store) => {
      const head = await store.head();
      if (!head) throw new UsageError('There is no series of this name.');
      const key = shared === null ? null : await deidentifyKey(keyFile!);
      if (key && !key.ok) throw new UsageError(key.detail);
      await mkdir(out, { recursive: true });
      const progress = showProgress(world.err, world);
      const { waiting, running, ...answered } = await store.counts();
      const all = answered.measured + answered.notComparable + answered.failed;
      const pairs = await writeTables(store, head, out, {
        deidentifier: key ? deidentifier(key.value, { keepGroups: given.has('keep-groups') }) : undefined,
        onPair: (done) => {
          if (done % 100 === 0 && world.terminal) progress.step(`${done} of ${all} pairs`, done / all);
        },
      });
      progress.end();
      const open = waiting + running > 0 ? `; ${waiting + running} are not answered yet` : '';
      world.out(`${pairs} pairs written to ${out}${open}.${key ? ` The key of their codes is ${keyFile}; keep it to yourself.` : ''}\n`);
      return EXIT.done;
    });
  },
};

/** An export that is to be handed on goes to a folder of its own, so that nothing else is handed on with it. */
async function checkShared(shared: string, home: string | null): Promise<void> {
  if (home !== null && resolve(shared) === resolve(home))
    throw new UsageError(`${shared} holds the series itself, with all names. Name a folder of its own for the export.`);
  const names = await readdir(shared).catch(() => []);
  const strange = names.find(
    (name) => !/^(results|pairs|ratings|failures)\.csv$|^results\.parquet$|^(datapackage|ro-crate-metadata)\.json$/.test(name),
  );
  if (strange !== undefined)
    throw new UsageError(`${shared} holds ${strange}, which would be handed on with the export. Name a new folder.`);
}
