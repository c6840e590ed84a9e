/** `ebbline validate`: measures cases whose truth is known, and writes down how well. */
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { textTable } from '#lib/report/text-table.ts';
import { quickBounds } from '#lib/report/validation-bounds.ts';
import { csvFromResults } from '#lib/report/validation-csv.ts';
import { validationGoals } from '#lib/report/validation-goals.ts';
import { validationPlots } from '#lib/report/validation-plots.ts';
import { validationReport } from '#lib/report/validation-report.ts';
import type { CaseResult } from '#lib/report/validation-result.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { type RunOptions, runTasks } from '#workers/validate/run-tasks.ts';
import { phantomTasks, stillTasks, type Task, talkingTasks } from '#workers/validate/tasks.ts';
import { noWords, readArguments } from './arguments.ts';
import { type Command, EXIT, type ExitCode, UsageError, type World } from './command.ts';
import { showProgress } from './progress.ts';

const ROOT = fileURLToPath(new URL('../../', import.meta.url));

const help = `ebbline validate - measure cases whose truth is known, and write down how well

  ebbline validate [--quick] [--out DIR] [--threads N] [--minutes N] [--again]

Draws faces with a known loss or gain, with and without differences of light, pose, distance and expression, compares
them as any other pair, and writes validation.md, plots and a table of all results. Takes half an hour or so on two cores;
a run that was stopped goes on where it was, as long as nothing that measures has changed.

  --quick        24 cases; prints its figures, writes nothing, and fails when one is beyond its bound
  --out DIR      where to write; docs/ of the program as usual
  --threads N    comparisons at the same time; 2 as usual
  --minutes N    begins no comparison after so many minutes, and reports what was measured by then
  --again        measures everything anew

Photographs that are drawn are kept in .ebbline/validate (some 200 MB), and may be deleted.
Photographs of people are used when they are there: EBBLINE_TEST_DATA names the folder.

Exit codes: 0 done, 1 a figure of --quick is beyond its bound, 2 wrong usage.

Examples
  ebbline validate --quick
  ebbline validate --out /tmp/validation --threads 4
`;

export const validate: Command = {
  name: 'validate',
  summary: 'measure cases whose truth is known',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { quick: 'none', out: 'one', threads: 'one', minutes: 'one', again: 'none' });
    noWords(given);
    const how = {
      threads: wholeNumber('--threads', given.one('threads') ?? '2', 64),
      minutes: given.has('minutes') ? wholeNumber('--minutes', given.one('minutes')!, 10_000) : Number.POSITIVE_INFINITY,
      again: given.has('again'),
    };
    if (given.has('quick') && given.has('out')) throw new UsageError('--quick writes nothing, so it takes no --out.');
    return given.has('quick') ? quick(world, how) : full(world, how, given.one('out') ?? join(ROOT, 'docs'));
  },
};

type How = Pick<RunOptions, 'threads' | 'minutes' | 'again'>;

function wholeNumber(option: string, words: string, most: number): number {
  const value = Number(words);
  if (!Number.isInteger(value) || value < 1 || value > most)
    throw new UsageError(`${option} needs a whole number from 1 to ${most}, got "${words}".`);
  return value;
}

async function measured(world: World, tasks: readonly Task[], how: How): Promise<CaseResult[]> {
  const progress = showProgress(world.err, world);
  const begun = performance.now();
  let fresh = 0;
  const results = await runTasks(tasks, {
    root: ROOT,
    folder: join(ROOT, '.ebbline', 'validate'),
    ...how,
    onResult: (done, of, { id }) => {
      fresh++;
      const left = ((performance.now() - begun) / fresh / 60_000) * (of - done);
      progress.step(`${done} of ${of}, ${left.toFixed(0)} min left: ${id}`, done / of);
    },
  });
  progress.end();
  return results;
}

async function quick(world: World, how: How): Promise<ExitCode> {
  const bounds = quickBounds(await measured(world, phantomTasks('quick'), how));
  const columns = ['', 'measured', 'bound', ''].map((head, k) => ({
    head,
    align: k === 1 || k === 2 ? ('right' as const) : ('left' as const),
  }));
  const rows = bounds.map(({ what, value, bound, sense, holds }) => [
    what,
    value.toFixed(3),
    `${sense === 'at-most' ? 'at most' : 'at least'} ${bound}`,
    holds ? 'holds' : 'BEYOND',
  ]);
  world.out(`${textTable(columns, rows).join('\n')}\n`);
  return bounds.every(({ holds }) => holds) ? EXIT.done : EXIT.ownError;
}

async function full(world: World, how: How, out: string): Promise<ExitCode> {
  const tasks = [
    ...phantomTasks('full'),
    ...talkingTasks(ROOT),
    ...stillTasks(world.env.EBBLINE_TEST_DATA ?? join(ROOT, '..', 'shared', 'data')),
  ];
  const commit = commitOf(); // before the measuring, during which it may change
  const results = await measured(world, tasks, how);
  const folder = join(out, 'validation');
  mkdirSync(folder, { recursive: true });
  writeFileSync(
    join(out, 'validation.md'),
    validationReport(results, {
      date: new Date().toISOString().slice(0, 10),
      commit,
      cases: tasks.length,
      version: EBBLINE_VERSION,
      cpu: cpus()[0]?.model.trim() ?? 'unknown processor',
      cores: cpus().length,
      node: process.versions.node,
    }),
  );
  for (const [name, svg] of Object.entries(validationPlots(results))) writeFileSync(join(folder, name), svg);
  writeFileSync(join(folder, 'cases.csv'), csvFromResults(results));
  const columns = ['goal', 'views', 'asked', 'measured', ''].map((head) => ({ head, align: 'left' as const }));
  const rows = validationGoals(results).map(({ what, views, asked, measured: got, met }) => [
    what,
    String(views),
    asked,
    got,
    met === null ? 'no cases' : met ? 'met' : 'not met',
  ]);
  world.out(`${textTable(columns, rows).join('\n')}\n\nWritten to ${join(out, 'validation.md')}\n`);
  return EXIT.done;
}

/** The commit that measured, with a mark when files differ from it. */
function commitOf(): string {
  try {
    const git = (...args: string[]): string =>
      execFileSync('git', args, { cwd: ROOT, encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }).trim();
    return `${git('rev-parse', '--short=10', 'HEAD')}${git('status', '--porcelain', '--', 'lib', 'shared') ? ' with changes' : ''}`;
  } catch {
    return 'unknown';
  }
}
