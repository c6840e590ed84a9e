/** `ebbline demo`: the main job on the photographs that come with the program. */

import { signed } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';
import { demoCase, demoSources } from '#workers/demo-case.ts';
import { noWords, readArguments } from './arguments.ts';
import { type Command, EXIT } from './command.ts';
import { checkOutFolder } from './out-folder.ts';

const help = `ebbline demo - the main job on the photographs that come with the program

  ebbline demo [--out DIR] [--json]

The photographs are rendered: a face of nobody's, before and after a loss that is known exactly, printed beneath the table.

  --out DIR            writes report.html, table.csv, comparison.json, evidence.json and the pictures there
  --json               prints the comparison as JSON and nothing else

Examples
  ebbline demo
  ebbline demo --out demo-result
`;

export const demo: Command = {
  name: 'demo',
  summary: 'the main job on the photographs that come with the program',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { out: 'one', json: 'none' });
    noWords(given);
    const out = given.one('out') ?? null;
    if (out !== null) await checkOutFolder(out);
    const { code, title, before, after, treatedZones, treatedOn, afterOn, truthMl } = await demoCase();
    const json = given.has('json');
    const exit = await (await import('./compare-files.ts')).compareFiles(
      {
        before: await demoSources(before),
        after: await demoSources(after),
        title: `${code}: ${title}`,
        out,
        json,
        zones: treatedZones,
        treatedOn,
        afterOn,
      },
      world,
    );
    if (!json && exit === EXIT.done) {
      const truth = truthMl.map(([zone, volume]) => `${zoneLabel(zone).replace(',', '')} ${signed(volume, 2)} mL`);
      world.out(`\nWhat was taken away when the photographs were rendered: ${truth.join(', ')}.\n`);
    }
    return exit;
  },
};
