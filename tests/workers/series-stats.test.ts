/** `ebbline series stats` from the tables a series writes: files, words, exit codes, and the same bytes twice. */
import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { studySchema } from '#shared/study.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { sampleStudy, sampleTables } from '#tests/series/sample-study.ts';
import { ebbline } from '#workers/cli.ts';
import { fakeMeasuring } from './fake-measuring.ts';

async function stats(...args: string[]): Promise<{ exit: number; out: string; err: string }> {
  const said = { out: '', err: '' };
  const exit = await ebbline(['series', 'stats', ...args], {
    out: (text) => {
      said.out += text;
    },
    err: (text) => {
      said.err += text;
    },
    terminal: false,
    columns: 80,
    env: {},
    measuring: async () => fakeMeasuring,
  });
  return { exit, ...said };
}

const TABLES = sampleTables(sampleStudy(3, 12));
const withTables = (work: (dir: string) => Promise<void>): Promise<void> =>
  withDir(async (dir) => {
    for (const [name, text] of Object.entries(TABLES)) await writeFile(join(dir, `${name}.csv`), text);
    await work(dir);
  });

describe('law', () => {
  it('writes study.json, study.html and study.pdf, and the same bytes again', () =>
    withTables(async (dir) => {
      await writeFile(join(dir, 'ro-crate-metadata.json'), JSON.stringify({ '@graph': [{ '@id': './', datePublished: '2026-10-30' }] }));
      const { exit, out, err } = await stats(dir, '--title', 'A small series');
      expect([exit, err]).toEqual([0, '']);
      expect(out).toMatch(/^12 subjects: 24 pairs of follow-up and baseline/);
      const files = ['study.json', 'study.html', 'study.pdf'];
      const first = await Promise.all(files.map((name) => readFile(join(dir, 'study', name))));
      const study = studySchema.parse(JSON.parse(first[0].toString()));
      expect([study.title, study.day, study.options.seed]).toEqual(['A small series', '2026-10-30', 1]);
      expect(first[1].toString()).toMatch(/^<!doctype html>/);
      expect(first[2].subarray(0, 5).toString()).toBe('%PDF-');
      const elsewhere = join(dir, 'again');
      await stats(dir, '--title', 'A small series', '--out', elsewhere);
      for (const [i, name] of files.entries()) expect((await readFile(join(elsewhere, name))).equals(first[i])).toBe(true);
    }));

  it('takes a day, a rule, a group, a covariate and a seed, and prints the study for programs', () =>
    withTables(async (dir) => {
      const covariate = join(dir, 'age.csv');
      await writeFile(
        covariate,
        `subject,age\n${Array.from({ length: 12 }, (_, i) => `S${String(i + 1).padStart(2, '0')},${30 + ((i * 7) % 12)}`).join('\n')}\n`,
      );
      const { exit, out } = await stats(
        dir,
        '--json',
        '--on',
        '2026-11-02',
        '--per-subject',
        'mean',
        '--against',
        'slow',
        '--covariate',
        covariate,
        '--seed',
        '9',
        '--keep-untrusted',
      );
      expect(exit).toBe(0);
      const { day, options, groups } = studySchema.parse(JSON.parse(out));
      expect(day).toBe('2026-11-02');
      expect(options).toEqual({ seed: 9, perSubject: 'mean', untrusted: 'kept', against: 'slow', covariate: 'age', alpha: 0.05 });
      const whole = groups.find(({ question, answer }) => question === 'whole-change' && answer.ok)!.answer;
      expect(whole.ok && [whole.covariate?.name, whole.differences[0].against]).toEqual(['age', 'slow']);
    }));

  it('does without ratings', () =>
    withDir(async (dir) => {
      for (const name of ['pairs', 'results'] as const) await writeFile(join(dir, `${name}.csv`), TABLES[name]);
      expect((await stats(dir)).exit).toBe(0);
      expect(JSON.parse(await readFile(join(dir, 'study', 'study.json'), 'utf8')).madeFrom.ratingsSha256).toBe(null);
    }));
});

describe('refusal', () => {
  it('one sentence and the right code for what is missing or spoilt', () =>
    withTables(async (dir) => {
      const sentence = /^[^\n]+\.\n(?:ebbline series --help says more\.\n)?$/;
      const cases: [code: number, says: RegExp, args: string[]][] = [
        [2, /Name the folder/, []],
        [2, /--seed/, [dir, '--seed', '1.5']],
        [2, /--per-subject/, [dir, '--per-subject', 'best']],
        [2, /no subject is in the group/, [dir, '--against', 'nobody']],
        [2, /covariate/, [dir, '--covariate', join(dir, 'none.csv')]],
        [2, /--on/, [dir, '--on', 'today']],
        [4, /There is no pairs\.csv/, [join(dir, 'nowhere')]],
      ];
      for (const [code, says, args] of cases) {
        const { exit, err } = await stats(...args);
        expect([exit, err]).toEqual([code, expect.stringMatching(says)]);
        expect(err).toMatch(sentence);
      }
      await writeFile(join(dir, 'results.csv'), TABLES.results.slice(0, TABLES.results.length / 2).replace(/\r\n[^\r\n]*$/, '\r\n"open'));
      const cut = await stats(dir, '--json');
      expect([cut.exit, JSON.parse(cut.out)]).toEqual([4, { ok: false, why: 'not-a-table', detail: expect.stringMatching(/\.$/) }]);
      await writeFile(join(dir, 'results.csv'), '');
      expect((await stats(dir)).exit).toBe(4);
      await writeFile(join(dir, 'results.csv'), TABLES.results.replace(',volumeMl,', ',volume,'));
      expect((await stats(dir)).err).toMatch(/results\.csv, row \d+, column "metric"/);
    }));
});
