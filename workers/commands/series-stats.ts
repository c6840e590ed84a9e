/** `ebbline series stats`: from the tables of a series to its study: repeatability, change, groups, course, raters, sample size, and the report. */
import { basename, join, resolve } from 'node:path';
import { summaryWords } from '#lib/report/study/study-summary.ts';
import { studyStatistics } from '#lib/series/study-statistics.ts';
import type { StudyReport } from '#shared/study.ts';
import { readCovariate } from '#workers/series/read-covariate.ts';
import { readStudy } from '#workers/series/read-study.ts';
import { writeStudy } from '#workers/series/write-study.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, UsageError } from './command.ts';
import { tellRefusal } from './tell-refusal.ts';
import { dayValue } from './values.ts';

const PER_SUBJECT = ['last', 'first', 'mean'] as const;
const LONGEST_TITLE = 120;

const help = `ebbline series stats - the statistics of a series, and its study report

  ebbline series stats DIR [--out DIR] [--title TITLE] [--on DAY] [--per-subject last|first|mean] [--against GROUP]
                           [--covariate FILE] [--keep-untrusted] [--seed N] [--json]

DIR is the folder that series run wrote. Its tables become study.json, study.html and study.pdf: how well the measurement repeats,
which zones changed, how groups differ, the course over time, agreement with raters, how many subjects the next study needs, and
where the data went. Every answer names its method and whether its assumptions held; what the data can't carry is refused with the
reason. The same tables and options give the same bytes. docs/statistics.md says which method answers which question, and why.

  --out DIR            where the three files go; as usual DIR/study
  --title TITLE        the report's title; as usual the name of DIR
  --on DAY             the day the report bears, such as 2026-11-01; as usual the newest day of the series
  --per-subject RULE   the one value a subject counts with: last follow-up (as usual), first, or mean
  --against GROUP      the group that the others are set against; as usual the first by name
  --covariate FILE     CSV with the columns subject and one that names it: a baseline of your own for the comparison of groups
  --keep-untrusted     keeps pairs whose reference zones seemed to change
  --seed N             of permutations and resampling; as usual 1
  --json               prints study.json as well, and nothing else

Exit codes: 0 done, 2 wrong usage, 4 tables missing or not readable.

Examples
  ebbline series stats results
  ebbline series stats results --against control --covariate age.csv --title "Reversal in the midface"
`;

export const seriesStats: Command = {
  name: 'series stats',
  summary: 'statistics of a series and its study report',
  help,
  run: async (args, world) => {
    const given = readArguments(args, {
      out: 'one',
      title: 'one',
      on: 'one',
      'per-subject': 'one',
      against: 'one',
      covariate: 'one',
      'keep-untrusted': 'none',
      seed: 'one',
      json: 'none',
    });
    if (given.has('help')) {
      world.out(help);
      return EXIT.done;
    }
    const [dir, stray] = given.words;
    if (dir === undefined) throw new UsageError('Name the folder that series run wrote.');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    const title = (given.one('title') ?? basename(resolve(dir))).trim();
    if (title === '' || title.length > LONGEST_TITLE) throw new UsageError(`A title has 1 to ${LONGEST_TITLE} characters.`);
    const seed = seedValue(given.one('seed') ?? '1');
    const perSubject = perSubjectValue(given.one('per-subject') ?? 'last');
    const on = given.has('on') ? dayValue('--on', given.one('on')!) : null;
    const covariate = given.has('covariate') ? await readCovariate(given.one('covariate')!) : null;
    if (covariate && !covariate.ok) throw new UsageError(covariate.detail);

    const tables = await readStudy(dir);
    if (!tables.ok) {
      tellRefusal(world, given.has('json'), tables);
      return EXIT.unreadable;
    }
    const { data, madeFrom, day } = tables.value;
    const against = given.one('against') ?? null;
    if (against !== null && !data.pairs.some(({ group }) => group === against))
      throw new UsageError(`--against: no subject is in the group "${against}".`);
    const options: StudyReport['options'] = {
      seed,
      perSubject,
      untrusted: given.has('keep-untrusted') ? 'kept' : 'left-out',
      against,
      covariate: covariate?.ok ? covariate.value.name : null,
      alpha: 0.05,
    };
    const study = studyStatistics(data, { title, day: on ?? day, madeFrom, options, covariate: covariate?.ok ? covariate.value : null });
    if (!study.ok) {
      tellRefusal(world, given.has('json'), study);
      return EXIT.unreadable;
    }
    const out = given.one('out') ?? join(dir, 'study');
    const text = await writeStudy(study.value, out);
    if (given.has('json')) {
      world.out(text);
      return EXIT.done;
    }
    const { lead, rest } = summaryWords(study.value);
    world.out(`${[lead, ...rest, ...study.value.remarks].join('\n')}\nWritten to ${out}: study.json, study.html, study.pdf.\n`);
    return EXIT.done;
  },
};

function seedValue(text: string): number {
  const seed = Number(text);
  if (!/^\d+$/.test(text) || seed > 0xffff_ffff)
    throw new UsageError(`--seed "${text}" is no seed. It is a whole number from 0 to 4294967295.`);
  return seed;
}

function perSubjectValue(text: string): (typeof PER_SUBJECT)[number] {
  const rule = PER_SUBJECT.find((one) => one === text);
  if (!rule) throw new UsageError(`--per-subject "${text}" is not understood. Write ${PER_SUBJECT.join(', ')}.`);
  return rule;
}
