/** `ebbline series check`: looks through a manifest and says what is wrong with it. */
import { manifestWords } from '#lib/series/manifest-words.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { manifestNamed } from './read-manifest.ts';

const help = `ebbline series check - look through a manifest, and measure nothing

  ebbline series check MANIFEST [--all] [--without-files]

  --all              shows everything that is wrong, not the first twenty
  --without-files    does not look for the photographs, such as when they lie in a store

Exit codes: 0 nothing is wrong, 2 wrong usage, 3 some rows would be left out, 4 no manifest, or none that leaves a pair.
The form of a manifest is in docs/series.md.

Example
  ebbline series check study/manifest.csv
`;

export const seriesCheck: Command = {
  name: 'series check',
  summary: 'look through a manifest, and measure nothing',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { all: 'none', 'without-files': 'none' });
    const [path, stray] = given.words;
    if (path === undefined) throw new UsageError('Name the manifest.');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    const named = await manifestNamed(path, world, {
      looked: !given.has('without-files'),
      ...(given.has('all') ? { shown: Number.POSITIVE_INFINITY } : {}),
    });
    if (!named.read) return named.exit;
    const { manifest } = named.read;
    world.out(`${manifestWords(manifest)}.\n`);
    return manifest.faults.length === 0 ? EXIT.done : EXIT.notComparable;
  },
};
