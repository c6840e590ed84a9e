/** `ebbline check`: the quality gate of single photographs. */
import { checkLines } from '#lib/report/comparison-table.ts';
import { textTable } from '#lib/report/text-table.ts';
import { viewWords } from '#lib/report/view-words.ts';
import { fixed } from '#shared/numbers.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';
import { scaleHintOf } from '#workers/scale-hint.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, type ExitCode, UsageError } from './command.ts';
import { exitOfFault } from './exit-of-fault.ts';
import { showProgress } from './progress.ts';
import { readSource } from './read-files.ts';
import { scaleValue } from './values.ts';

const help = `ebbline check - judge photographs before they are compared

  ebbline check FILE... [--scale SCALE] [--json]

Says of each photograph which view it is, how the head is turned, how large the face is, and what to do better.

  --scale SCALE        iris (as usual), pupils:63.5 (mm between the pupils) or marker:20 (mm of a marker's side)
  --json               prints an array with one answer for each file, and nothing else

Exit codes: 0 all can be used, 2 wrong usage, 3 some cannot be compared, 4 some cannot be read.

Examples
  ebbline check front.jpg
  ebbline check march/*.jpg --json
`;

type Answer = Readonly<{ file: string; ok: true; check: PhotoCheck } | { file: string; ok: false; why: string; detail: string }>;

export const check: Command = {
  name: 'check',
  summary: 'judge photographs before they are compared',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { scale: 'one', json: 'none' });
    if (given.words.length === 0) throw new UsageError('Name at least one photograph.');
    const scale = given.has('scale') ? { scale: scaleHintOf(scaleValue(given.one('scale')!)) } : {};

    const progress = showProgress(world.err, world);
    const answers: Answer[] = [];
    let exit: ExitCode = EXIT.done;
    const note = (code: ExitCode): void => {
      if (code > exit) exit = code;
    };
    for (const [k, file] of given.words.entries()) {
      progress.step(`Checking ${file}`, k / given.words.length);
      const source = await readSource(file);
      if (!source.ok) {
        note(EXIT.unreadable);
        answers.push({ file, ok: false, why: source.why, detail: source.detail });
        continue;
      }
      const checked = await (await world.measuring()).checkPhoto(source.value, scale);
      if (!checked.ok) {
        note(exitOfFault(checked.why));
        answers.push({ file, ok: false, why: checked.why, detail: checked.detail });
        continue;
      }
      if (checked.value.checks.some(({ verdict }) => verdict === 'refuse')) note(EXIT.notComparable);
      answers.push({ file, ok: true, check: checked.value });
    }
    progress.end();
    world.out(json(given.has('json'), answers));
    return exit;
  },
};

const json = (wanted: boolean, answers: readonly Answer[]): string =>
  wanted ? `${JSON.stringify(answers, null, 2)}\n` : `${answersText(answers)}\n`;

const HEADS = ['File', 'View', 'Yaw', 'Pitch', 'Roll', 'Pupils px', 'mm/px', 'Answer'].map((head, k) => ({
  head,
  align: k >= 2 && k <= 6 ? ('right' as const) : ('left' as const),
}));

function answersText(answers: readonly Answer[]): string {
  const table = textTable(HEADS, answers.map(rowOf));
  const details = answers.flatMap((answer) => {
    const lines = answer.ok ? checkLines(answer.check.checks).filter((line, k) => k > 0 || line !== '') : [answer.detail];
    return lines.length > 0 ? ['', answer.file, ...lines] : [];
  });
  return [...table, ...details].join('\n');
}

function rowOf(answer: Answer): string[] {
  if (!answer.ok) return [answer.file, '', '', '', '', '', '', 'cannot be used'];
  const { view, pose, interpupillaryPx, mmPerPx, checks } = answer.check;
  const worst = checks.some(({ verdict }) => verdict === 'refuse')
    ? 'cannot be used'
    : checks.some(({ verdict }) => verdict === 'caution')
      ? 'usable, see below'
      : 'good';
  const angle = (of: { value: number }): string => `${fixed(of.value, 1)}\u00b0`;
  return [
    answer.file,
    viewWords(view).toLowerCase(),
    angle(pose.yawDeg),
    angle(pose.pitchDeg),
    angle(pose.rollDeg),
    String(Math.round(interpupillaryPx)),
    mmPerPx.toFixed(3),
    worst,
  ];
}
