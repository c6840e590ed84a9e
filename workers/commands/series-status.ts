/** `ebbline series status`: how far a series is, and what failed. */

import { failureTally } from '#workers/series/failure-tally.ts';
import { openStore } from '#workers/series/open-place.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { makePace } from './series-pace.ts';
import { existingPlace, withStore } from './series-place.ts';

const help = `ebbline series status - how far a series is, and what failed

  ebbline series status DIR [--json]
  ebbline series status --queue URL --name NAME [--json]

  --queue URL    of a series on many machines; env takes it from EBBLINE_QUEUE
  --name NAME    what the series is called there
  --json         prints the figures as JSON, and nothing else

Failures are counted by their reason. "lost" were begun five times and never finished (the dead letters of the queue).

Example
  ebbline series status results
`;

export const seriesStatus: Command = {
  name: 'series status',
  summary: 'how far a series is',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { queue: 'one', name: 'one', json: 'none' });
    return withStore(openStore(existingPlace(given, world.env)), async (store) => {
      if (!(await store.head())) throw new UsageError('There is no series of this name.');
      await store.reclaim();
      const counts = await store.counts();
      const tally = await failureTally(store);
      if (given.has('json')) world.out(`${JSON.stringify({ ...counts, failures: tally }, null, 2)}\n`);
      else {
        world.out(`${makePace().look(counts).words}; ${counts.running} running, ${counts.waiting} waiting.\n`);
        for (const { code, pairs, example } of tally)
          world.out(`  ${code}: ${pairs} pair${pairs === 1 ? '' : 's'}, such as ${example.pair}: ${example.message}\n`);
      }
      return EXIT.done;
    });
  },
};
