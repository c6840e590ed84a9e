/** The command line without a measurement: arguments, values, progress, folders, exit codes, with a stand-in that measures. */
import { chmod, mkdir, readdir, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { comparisonSchema } from '#shared/comparison.ts';
import { evidenceSchema } from '#shared/field.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { ebbline } from '#workers/cli.ts';
import { readArguments } from '#workers/commands/arguments.ts';
import { UsageError } from '#workers/commands/command.ts';
import { checkOutFolder, writeOutFolder } from '#workers/commands/out-folder.ts';
import { showProgress } from '#workers/commands/progress.ts';
import { dayValue, portValue, scaleValue, zonesValue } from '#workers/commands/values.ts';
import { daysSinceTreatment } from '#workers/days-since.ts';
import { fakeMeasuring } from './fake-measuring.ts';

async function run(...args: string[]): Promise<{ exit: number; out: string; err: string }> {
  const said = { out: '', err: '' };
  const exit = await ebbline(args, {
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

const withPhotos = (work: (paths: { dir: string; of: (text: string) => Promise<string> }) => Promise<void>): Promise<void> =>
  withDir((dir) =>
    work({
      dir,
      of: async (text) => {
        const path = join(dir, `${text.replaceAll(' ', '-') || 'empty'}.jpg`);
        await writeFile(path, text);
        return path;
      },
    }),
  );

const oneSentence = (text: string): void => expect(text).toMatch(/^[^\n]+\.\n(?:ebbline \w+ --help says more\.\n)?$/);

describe('law: arguments', () => {
  it('a list takes all words up to the next option, and may go on', () => {
    const given = readArguments(['--before', 'a', 'b', '--json', '--before=c', 'd', '--out', 'x'], {
      before: 'list',
      json: 'none',
      out: 'one',
    });
    expect([given.list('before'), given.has('json'), given.one('out'), given.words]).toEqual([['a', 'b', 'c', 'd'], true, 'x', []]);
  });
  it('words after a single value belong to nothing', () => {
    expect(readArguments(['--out', 'x', 'y'], { out: 'one' }).words).toEqual(['y']);
    expect(readArguments(['--', '--out'], { out: 'one' }).words).toEqual(['--out']);
  });
  it('throws with a remedy for what it does not know', () => {
    const kinds = { before: 'list', out: 'one', json: 'none' } as const;
    const message = (args: string[]): string => {
      try {
        readArguments(args, kinds);
      } catch (error) {
        if (error instanceof UsageError) return error.message;
      }
      return '';
    };
    expect(message(['--befor', 'x'])).toMatch(/no option --befor\. Did you mean --before/);
    expect(message(['--constructor'])).toMatch(/no option --constructor/);
    expect(message(['--out'])).toMatch(/needs a value/);
    expect(message(['--before', '--json'])).toMatch(/at least one value/);
    expect(message(['--json=yes'])).toMatch(/takes no value/);
    expect(message(['--out', 'a', '--out', 'b'])).toMatch(/given twice/);
  });
});

describe('law: values', () => {
  it('scales, zones, days and ports are read as people write them', () => {
    expect(scaleValue('iris')).toEqual({ kind: 'iris' });
    expect(scaleValue('pupils:63.5')).toEqual({ kind: 'interpupillary', distanceMm: 63.5 });
    expect(scaleValue('marker:20')).toEqual({ kind: 'marker', sideMm: 20 });
    expect(zonesValue(['chin,midface-left', 'chin'])).toEqual(['chin', 'midface-left']);
    expect([dayValue('--treated-on', '2024-02-29'), portValue('8080')]).toEqual(['2024-02-29', 8080]);
  });
  it('what cannot be is refused with what could', () => {
    for (const text of ['pupils', 'pupils:', 'pupils:6.35', 'marker:-1', 'ruler:3', '']) expect(() => scaleValue(text)).toThrow(UsageError);
    expect(() => zonesValue(['cheek'])).toThrow(/midface-left/);
    for (const text of ['2026-02-30', '1.9.2026', '2026-9-1']) expect(() => dayValue('--treated-on', text)).toThrow(UsageError);
    for (const text of ['0', '70000', 'x', '1.5']) expect(() => portValue(text)).toThrow(UsageError);
  });
  it('days are counted as a calendar does, the given day before the camera, the earliest camera first', () => {
    expect(daysSinceTreatment('2026-03-28', undefined, ['2026-03-30T01:00:00'])).toBe(2); // across the change to summer time
    expect(daysSinceTreatment('2026-03-28', '2026-04-02', ['2026-03-30T01:00:00'])).toBe(5);
    expect(daysSinceTreatment('2026-03-28', undefined, [null, '2026-03-31T00:00:00', '2026-03-30T00:00:00'])).toBe(2);
    expect(daysSinceTreatment('2026-03-28', undefined, ['2026-03-27T00:00:00'])).toBe(-1);
    expect(daysSinceTreatment('2026-03-28', undefined, [null])).toBeUndefined();
    expect(daysSinceTreatment(undefined, '2026-03-28', [])).toBeUndefined();
  });
});

describe('law: progress', () => {
  it('in a pipe is one plain line for each new step', () => {
    let text = '';
    const progress = showProgress(
      (more) => {
        text += more;
      },
      { terminal: false, columns: 80 },
    );
    for (const [words, at] of [
      ['Aligning', 0],
      ['Aligning', 0.5],
      ['Measuring', 0.6],
    ] as const)
      progress.step(words, at);
    progress.end();
    expect(text).toBe('Aligning\nMeasuring\n');
  });
  it('on a terminal is one line that redraws itself, never wider than the terminal, and is gone at the end', () => {
    const writes: string[] = [];
    let now = 0;
    const progress = showProgress(
      (more) => void writes.push(more),
      { terminal: true, columns: 40 },
      () => now,
    );
    progress.step('Aligning the photographs of the frontal view', 0.5);
    now = 10;
    progress.step('Aligning the photographs of the frontal view', 0.51);
    now = 100;
    progress.step('Aligning the photographs of the frontal view', 0.52);
    progress.end();
    expect(writes).toHaveLength(3);
    const visible = writes[0]!.slice('\r\u001b[2K'.length);
    expect(writes[0]!.startsWith('\r\u001b[2K')).toBe(true);
    expect([...visible].length).toBe(39);
    expect(visible).toContain(' 50 %');
    expect(writes.at(-1)).toBe('\r\u001b[2K');
    expect(writes.join('')).not.toContain('\n');
  });
});

describe('law: the folder of results', () => {
  const file = (name: string, text = 'x') => ({ name, bytes: new TextEncoder().encode(text) });
  const COMPARISON = file('comparison.json', '{"schema":"ebbline.comparison/1"}');
  it('appears whole, also in folders that do not exist yet, and replaces a former comparison entirely', () =>
    withDir(async (dir) => {
      const out = join(dir, 'a', 'b');
      await checkOutFolder(out);
      await writeOutFolder(out, [COMPARISON, file('frontal.before.jpg')]);
      await checkOutFolder(out);
      await writeOutFolder(out, [COMPARISON, file('report.html')]);
      expect((await readdir(out)).sort()).toEqual(['comparison.json', 'report.html']);
      expect(await readdir(join(dir, 'a'))).toEqual(['b']);
    }));
  it('takes an empty folder', () =>
    withDir(async (dir) => {
      await mkdir(join(dir, 'empty'));
      await writeOutFolder(join(dir, 'empty'), [COMPARISON]);
      expect(await readdir(join(dir, 'empty'))).toEqual(['comparison.json']);
    }));
  it('never touches a folder that holds anything else, a file, or what only looks like a comparison', () =>
    withDir(async (dir) => {
      await writeFile(join(dir, 'notes.txt'), 'mine');
      await expect(checkOutFolder(dir)).rejects.toThrow(/notes\.txt/);
      await expect(checkOutFolder(join(dir, 'notes.txt'))).rejects.toThrow(/is a file/);
      await expect(writeOutFolder(dir, [COMPARISON])).rejects.toThrow(UsageError);
      expect(await readdir(dir)).toEqual(['notes.txt']);
      const other = join(dir, 'other');
      await mkdir(other);
      await writeFile(join(other, 'report.html'), 'mine');
      await expect(checkOutFolder(other)).rejects.toThrow(/holds no comparison/);
      await writeOutFolder(join(dir, 'own'), [COMPARISON]);
      await writeFile(join(dir, 'own', 'notes.txt'), 'mine');
      await expect(writeOutFolder(join(dir, 'own'), [COMPARISON])).rejects.toThrow(/notes\.txt/);
      expect((await readdir(dir)).sort()).toEqual(['notes.txt', 'other', 'own']);
    }));
});

describe('law: compare', () => {
  it('measures, prints the table and writes the folder: exit 0', () =>
    withPhotos(async ({ dir, of }) => {
      const { exit, out, err } = await run('compare', '--before', await of('b'), '--after', await of('a'), '--out', join(dir, 'out'));
      expect(exit).toBe(0);
      expect(out).toMatch(/2 of 24 zones assessed changed.*Midface, left/s);
      expect(err).toBe('Loading the models\nAligning\nMeasuring\nDrawing the maps\nWriting the report\n');
      expect((await readdir(join(dir, 'out'))).sort()).toEqual([
        'comparison.json',
        'evidence.json',
        'frontal.after-aligned.jpg',
        'frontal.after-as-taken.jpg',
        'frontal.after-relit.jpg',
        'frontal.before-as-taken.jpg',
        'frontal.before.jpg',
        'frontal.change-map.jpg',
        'frontal.lightness-map.jpg',
        'report.html',
        'table.csv',
      ]);
      comparisonSchema.parse(JSON.parse(await readFile(join(dir, 'out', 'comparison.json'), 'utf8')));
      const { zones } = evidenceSchema.parse(JSON.parse(await readFile(join(dir, 'out', 'evidence.json'), 'utf8')));
      expect(zones.map(({ zone }) => zone)).toContain('midface-left');
    }));
  it('writes the same bytes from the same photographs', () =>
    withPhotos(async ({ dir, of }) => {
      const args = ['compare', '--before', await of('b'), '--after', await of('a'), '--pdf', '--out'];
      await run(...args, join(dir, 'one'));
      await run(...args, join(dir, 'two'));
      expect(await readdir(join(dir, 'one'))).toContain('report.pdf');
      const differing = [];
      for (const name of await readdir(join(dir, 'one')))
        if (!(await readFile(join(dir, 'one', name))).equals(await readFile(join(dir, 'two', name)))) differing.push(name);
      expect(differing).toEqual([]);
    }));
  it('with --json prints the comparison and nothing else', () =>
    withPhotos(async ({ of }) => {
      const { exit, out } = await run(
        'compare',
        '--before',
        await of('b'),
        '--after',
        await of('a dated'),
        '--json',
        '--treated-on',
        '2026-11-16',
        '--zones',
        'chin',
        '--scale',
        'marker:20',
      );
      expect(exit).toBe(0);
      expect(comparisonSchema.parse(JSON.parse(out)).parameters).toEqual({
        days: 4,
        concern: ['chin'],
        scale: { kind: 'marker', sideMm: 20 },
      });
    }));
  it('says when the days since the treatment cannot be known', () =>
    withPhotos(async ({ of }) => {
      const { err } = await run('compare', '--before', await of('b'), '--after', await of('a'), '--json', '--treated-on', '2026-11-16');
      expect(err).toMatch(/do not say when they were taken.*--after-on/);
    }));
  it('not comparable: exit 3, reasons printed, the pictures as taken written', () =>
    withPhotos(async ({ dir, of }) => {
      const { exit, out } = await run('compare', '--before', await of('refuse'), '--after', await of('a'), '--out', join(dir, 'out'));
      expect(exit).toBe(3);
      expect(out).toMatch(/not comparable.*Why not.*same distance/s);
      expect(await readdir(join(dir, 'out'))).toContain('frontal.before-as-taken.jpg');
    }));
});

describe('refusal: compare', () => {
  it('unreadable input: exit 4, one sentence that names the file, nothing written', () =>
    withPhotos(async ({ dir, of }) => {
      const good = await of('good');
      const cases: [string, RegExp][] = [
        [join(dir, 'absent.jpg'), /There is no file .*absent\.jpg/],
        [dir, /is a folder/],
        [await of('not-an-image'), /not-an-image\.jpg is not a photograph/],
      ];
      for (const [path, words] of cases) {
        const { exit, out, err } = await run('compare', '--before', good, '--after', path, '--out', join(dir, 'out'));
        expect([exit, out]).toEqual([4, '']);
        expect(err).toMatch(words);
        oneSentence(err.replace('Loading the models\n', ''));
      }
      expect(await readdir(dir)).not.toContain('out');
    }));
  it('a file that may not be read: exit 4', () =>
    withPhotos(async ({ of }) => {
      const path = await of('secret');
      await chmod(path, 0);
      const { exit, err } = await run('check', path);
      // The superuser may read everything.
      if (process.getuid?.() === 0) expect(exit).toBe(0);
      else expect([exit, err]).toEqual([4, expect.stringContaining('may not be read')]);
    }));
  it('no face: exit 3', () =>
    withPhotos(async ({ of }) => {
      const { exit, err } = await run('compare', '--before', await of('no-face'), '--after', await of('a'), '--json');
      expect(exit).toBe(3);
      expect(err).toContain('No face was found in no-face.jpg.');
    }));
  it('usage: exit 2 and a sentence, before anything is measured', () =>
    withPhotos(async ({ dir, of }) => {
      const photo = await of('a');
      const wrong: string[][] = [
        ['compare'],
        ['compare', '--before', photo, '--out', 'x'],
        ['compare', '--before', photo, '--after', photo],
        ['compare', '--before', photo, '--after', photo, '--out', dir],
        ['compare', '--before', photo, '--after', photo, '--out', 'x', 'stray'],
        ['compare', '--before', photo, '--after', photo, '--json', '--scale', 'inch'],
        ['compare', '--before', photo, '--after', photo, '--json', '--zones', 'cheek'],
        ['compare', '--before', photo, '--after', photo, '--json', '--treated-on', 'yesterday'],
        ['compare', '--before', ...Array<string>(6).fill(photo), '--after', photo, '--json'],
        ['check'],
        ['check', '--out', 'x'],
        ['demo', 'stray'],
        ['serve', '--port', 'x'],
      ];
      for (const args of wrong) {
        const { exit, out, err } = await run(...args);
        expect([exit, out], args.join(' ')).toEqual([2, '']);
        oneSentence(err);
      }
    }));
  it("the program's own error: exit 1, without a stack", () =>
    withPhotos(async ({ of }) => {
      const { exit, err } = await run('compare', '--before', await of('throw'), '--after', await of('a'), '--json');
      expect(exit).toBe(1);
      expect(err).not.toMatch(/\n\s+at /);
    }));
});

describe('law: check', () => {
  it('answers for each file, and its exit code is the worst of them', () =>
    withPhotos(async ({ dir, of }) => {
      const good = await of('good');
      expect((await run('check', good)).exit).toBe(0);
      expect((await run('check', good, await of('no-face'))).exit).toBe(3);
      const { exit, out } = await run('check', await of('no-face'), join(dir, 'absent.jpg'), good);
      expect(exit).toBe(4);
      expect(out).toMatch(/File +View/);
      expect(out).toMatch(/absent\.jpg +cannot be used/);
      expect(out).toMatch(/good\.jpg +from the front.* good/);
    }));
  it('with --json gives one answer for each file', () =>
    withPhotos(async ({ of }) => {
      const { out } = await run('check', await of('good'), await of('no-face'), '--json');
      expect(JSON.parse(out)).toMatchObject([
        { ok: true, check: { view: 'frontal' } },
        { ok: false, why: 'no-face', detail: expect.stringContaining('no-face.jpg') },
      ]);
    }));
});

describe('law: help', () => {
  it('exists for every command, with examples, and no command is unknown to it', async () => {
    const overview = await run('--help');
    expect(overview.exit).toBe(0);
    for (const name of ['compare', 'check', 'repeat', 'demo', 'serve']) {
      expect(overview.out).toContain(`\n  ${name} `);
      const { exit, out } = await run(name, '--help');
      expect(exit).toBe(0);
      expect(out).toMatch(/Examples\n {2}ebbline /);
      expect((await run('help', name)).out).toBe(out);
      expect(out.split('\n').filter((line) => line.length > 130)).toEqual([]);
    }
  });
  it('no command at all shows the help with exit 2, an unknown one is named', async () => {
    expect((await run()).exit).toBe(2);
    expect(await run('measure')).toMatchObject({ exit: 2, err: expect.stringContaining('"measure"') });
    expect(await run('constructor')).toMatchObject({ exit: 2 });
    expect((await run('--version')).out).toMatch(/^\d+\.\d+\.\d+\n$/);
  });
});

describe('refusal: serve', () => {
  it('never beyond this machine, with a password or without', async () => {
    expect(await run('serve', '--host', '0.0.0.0')).toMatchObject({
      exit: 2,
      err: expect.stringMatching(/other machines.*EBBLINE_PASSWORD/),
    });
  });
});
