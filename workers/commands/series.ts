/** `ebbline series`: many pairs from a manifest. It reads which part is meant; `ebbline series MANIFEST --out DIR` runs one. */
import { type Command, UsageError } from './command.ts';

type Part = Readonly<{ summary: string; load: () => Promise<Command> }>;

/** Each part and the file it is in; loaded when it is called. */
const PARTS: Readonly<Record<string, Part>> = {
  init: { summary: 'propose a manifest from a folder of photographs', load: async () => (await import('./series-init.ts')).seriesInit },
  check: { summary: 'look through a manifest, and measure nothing', load: async () => (await import('./series-check.ts')).seriesCheck },
  run: {
    summary: 'measure the pairs of a manifest, here or on many machines',
    load: async () => (await import('./series-run.ts')).seriesRun,
  },
  status: { summary: 'how far a series is, and what failed', load: async () => (await import('./series-status.ts')).seriesStatus },
  stats: { summary: 'statistics of a series and its study report', load: async () => (await import('./series-stats.ts')).seriesStats },
  export: {
    summary: 'write the tables again, or without anything that leads back to a person',
    load: async () => (await import('./series-export.ts')).seriesExport,
  },
};

const names = Object.keys(PARTS);
const width = Math.max(...names.map((name) => name.length));

const help = `ebbline series - measure many pairs, and write tables that others can check

  ebbline series PART [options]
  ebbline series MANIFEST --out DIR [options]      the same as series run

${Object.entries(PARTS)
  .map(([name, { summary }]) => `  ${name.padEnd(width)}   ${summary}`)
  .join('\n')}

  ebbline series PART --help    options and examples

Example, from a folder that holds a folder of photographs for each subject
  ebbline series init study                           proposes study/manifest.csv; look through it
  ebbline series run study/manifest.csv --out results
  ebbline series export results --deidentified shared
`;

export const series: Command = {
  name: 'series',
  summary: 'measure many pairs from a manifest',
  help,
  helpFor: async ([first = '']) => (Object.hasOwn(PARTS, first) ? (await PARTS[first]!.load()).help : help),
  run: async (args, world) => {
    const [first, ...rest] = args;
    if (first === undefined) throw new UsageError(`Name a part (${names.join(', ')}) or a manifest.`);
    const part = Object.hasOwn(PARTS, first) ? PARTS[first]! : null;
    // A word without an ending is meant to be a part; a manifest ends in .csv or .json.
    if (!part && !first.startsWith('--') && !/\.(csv|json)$/i.test(first))
      throw new UsageError(`"${first}" is neither a manifest (.csv or .json) nor one of ${names.join(', ')}.`);
    const command = await (part ?? PARTS.run!).load();
    return command.run(part ? rest : args, world);
  },
};
