/** `ebbline repeat`: how well the user's own set-up repeats, kept as a profile that findings take their error from. */
import { readFile } from 'node:fs/promises';
import { basename, resolve } from 'node:path';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { openSetUps } from '#lib/record/open.ts';
import { setUpTable } from '#lib/report/set-up-table.ts';
import { readRepeatLayout } from '#workers/repeat-layout.ts';
import { type Remark, remarkLine, repeatSetUp } from '#workers/repeat-set-up.ts';
import { profileIn } from '#workers/set-up-choice.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, type ExitCode, UsageError } from './command.ts';
import { writeFileWhole } from './out-file.ts';
import { showProgress } from './progress.ts';
import { scaleValue } from './values.ts';

const LONGEST_NAME = 80;

const help = `ebbline repeat - measure how well your own set-up repeats

  ebbline repeat DIR [--name NAME] [--out FILE] [--scale SCALE] [--data DIR] [--json]

Photograph people twice or more with nothing changed: same day, minutes apart, and let them stand up and sit down again in
between. Every pair of repeats is compared; from their differences come the standard error of measurement, the smallest
detectable change, and bias and limits of agreement, for each zone and metric. The result is kept as the set-up's profile;
compare --set-up NAME and the page then take the error of their findings from it. Thirty pairs or more make a good profile.

  DIR/PERSON/REPEAT/front.jpg       one folder for each person, in it one for each repeat, one photograph for each view
  DIR/PERSON/front-1.jpg            photographs straight in a person's folder are repeats of one view each
  DIR/PERSON/VISIT/REPEAT/...       visits with a real change between them give ICC(2,1) as well

  --name NAME          what the set-up is called; as usual the name of DIR
  --out FILE           writes the profile as JSON, too
  --scale SCALE        iris (as usual), pupils:63.5 (mm between the pupils) or marker:20 (mm of a marker's side)
  --data DIR           the record it is kept in; as usual EBBLINE_HOME or ~/.local/share/ebbline
  --json               prints the profile as JSON, and nothing else

Pairs that cannot be compared, are of two days or do not look like one person are left out, and listed with the reason.
Exit codes: 0 measured, 2 wrong usage or layout, 3 no pair could be compared, 4 unreadable input.

Examples
  ebbline repeat repeats --name "Room 2"
  ebbline repeat repeats --name "Room 2" --out room-2.json
  ebbline compare --before march/front.jpg --after june/front.jpg --out case-12 --set-up "Room 2"
`;

export const repeat: Command = {
  name: 'repeat',
  summary: 'measure how well your own set-up repeats',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { name: 'one', out: 'one', scale: 'one', data: 'one', json: 'none' });
    const [dir, stray] = given.words;
    if (dir === undefined) throw new UsageError('Name the folder that holds the repeated photographs.');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    const name = (given.one('name') ?? basename(resolve(dir))).trim();
    if (name === '' || name.length > LONGEST_NAME)
      throw new UsageError(`A set-up's name has 1 to ${LONGEST_NAME} characters. Give one with --name.`);
    const scale = given.has('scale') ? scaleValue(given.one('scale')!) : undefined;
    const out = given.one('out') ?? null;
    if (out !== null) await checkOutFile(out);

    const people = await readRepeatLayout(dir);
    if (!people.ok) {
      world.err(`${people.detail}\nebbline repeat --help says more.\n`);
      return people.why === 'no-folder' ? EXIT.unreadable : EXIT.usage;
    }
    const progress = showProgress(world.err, world);
    progress.step('Loading the models', 0);
    const madeOn = new Date().toISOString().slice(0, 10);
    const repeated = await repeatSetUp(people.value, { name, madeOn, scale }, await world.measuring(), progress.step);
    progress.end();
    if (!repeated.ok) {
      world.err(`${repeated.detail}\n`);
      return exitOf(repeated.why);
    }
    const { profile, leftOut, doubts } = repeated.value;
    const text = `${JSON.stringify(profile, null, 2)}\n`;
    if (out !== null) await writeFileWhole(out, text);
    const dataDir = given.has('data') ? resolve(given.one('data')!) : defaultDataDir(world.env);
    const shelf = openSetUps(dataDir);
    await shelf.addSetUp(profile).finally(() => shelf.close());

    world.out(given.has('json') ? text : setUpTable(profile));
    const say = given.has('json') ? world.err : world.out;
    for (const [head, remarks] of [
      ['Left out', leftOut],
      ['Counted, but to be looked at', doubts],
    ] as const)
      if (remarks.length > 0) say(`\n${head}\n${listed(remarks)}`);
    say(
      `\nKept as "${profile.name}"${out === null ? '' : ` and written to ${out}`}. Use it with compare --set-up "${profile.name}", or choose it on the page.\n`,
    );
    return EXIT.done;
  },
};

const listed = (remarks: readonly Remark[]): string => remarks.map((one) => `\u2022 ${remarkLine(one)}\n`).join('');

function exitOf(why: string): ExitCode {
  if (why === 'nothing-left') return EXIT.notComparable;
  return why === 'same-file' ? EXIT.usage : EXIT.unreadable;
}

/** A former profile may be replaced, anything else may not. */
async function checkOutFile(path: string): Promise<void> {
  const text = await readFile(path, 'utf8').catch((error: NodeJS.ErrnoException) => {
    if (error.code === 'ENOENT') return null;
    throw new UsageError(`--out ${path} is no file that can be written (${error.code}). Name a file.`);
  });
  if (text !== null && !profileIn(text, path).ok)
    throw new UsageError(`--out ${path} is there already and is no profile of a set-up. Name a new file.`);
}
