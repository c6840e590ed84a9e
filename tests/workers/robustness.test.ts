/**
 * Whatever is handed to the command line, as a process of its own: an answer or one clear sentence, the exit code that was promised,
 * JSON that can be parsed, never a stack, and a folder of results that is whole or not there.
 */
import { execFile } from 'node:child_process';
import { mkdir, mkdtemp, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import sharp, { type Sharp } from 'sharp';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { comparisonSchema } from '#shared/comparison.ts';
import { photoPair } from '#tests/compare/phantom-photos.ts';

const CLI = resolve(import.meta.dirname, '../../workers/ebbline.mjs');

type Run = Readonly<{ exit: number; out: string; err: string }>;
const ebbline = (...args: string[]): Promise<Run> =>
  new Promise((done) => {
    execFile(process.execPath, [CLI, ...args], { maxBuffer: 1e8 }, (error, out, err) =>
      done({ exit: error ? Number(error.code) : 0, out, err }),
    );
  });

/** What `check` must say of each file. `why` is null for a photograph that was looked at. */
const FILES: Readonly<Record<string, { why: string | null; words: RegExp; exit: 0 | 3 | 4 }>> = {
  'forty-megapixels.jpg': { why: null, words: /^$/, exit: 0 },
  'cmyk.jpg': { why: null, words: /^$/, exit: 0 },
  'grey.jpg': { why: null, words: /black and white/, exit: 3 },
  'small-face.jpg': { why: 'face-too-small', words: /about 8\d px between the pupils, at least 88 are needed/, exit: 3 },
  'nobody.jpg': { why: 'no-face', words: /No face was found/, exit: 3 },
  'two-faces.jpg': { why: 'several-faces', words: /2 faces were found/, exit: 3 },
  'cut-short.jpg': { why: 'truncated', words: /cut-short\.jpg/, exit: 4 },
  'diary.jpg': { why: 'not-an-image', words: /diary\.jpg holds text, not a picture/, exit: 4 },
  'drawing.jpg': { why: 'unsupported', words: /drawing\.jpg is an SVG drawing/, exit: 4 },
  'empty.jpg': { why: 'empty', words: /empty\.jpg is empty/, exit: 4 },
  folder: { why: 'not-a-file', words: /folder is a folder\. Name the photographs in it\./, exit: 4 },
  'absent.jpg': { why: 'no-file', words: /There is no file .*absent\.jpg\./, exit: 4 },
};
const NAMES = Object.keys(FILES);

let dir = '';
const at = (name: string): string => join(dir, name);

beforeAll(async () => {
  dir = await mkdtemp(join(tmpdir(), 'ebbline-robust-'));
  const { before, after } = await photoPair(311);
  const face = (): Sharp => sharp(before.bytes);
  const save = (name: string, picture: Sharp): Promise<unknown> => picture.jpeg({ quality: 90 }).toFile(at(name));
  await writeFile(at('before.jpg'), before.bytes);
  await writeFile(at('after.jpg'), after.bytes);
  await save('forty-megapixels.jpg', face().resize(5660, 7075));
  await save('cmyk.jpg', face().toColourspace('cmyk'));
  await save('grey.jpg', face().greyscale());
  // From ear to ear the rendered face is 0.475 of the picture's height; this makes it 200 px.
  await save('small-face.jpg', face().resize({ height: 420 }));
  await save(
    'nobody.jpg',
    sharp({ create: { width: 900, height: 1200, channels: 3, background: '#8a7f78', noise: { type: 'gaussian', mean: 128, sigma: 20 } } }),
  );
  const { width, height } = await face().metadata();
  const beside = sharp({ create: { width: 2 * width, height, channels: 3, background: '#777' } });
  await save(
    'two-faces.jpg',
    beside.composite([
      { input: Buffer.from(before.bytes), left: 0, top: 0 },
      { input: Buffer.from(after.bytes), left: width, top: 0 },
    ]),
  );
  await writeFile(at('cut-short.jpg'), before.bytes.subarray(0, Math.floor(before.bytes.length / 2)));
  await writeFile(at('diary.jpg'), 'Dear diary, this is no photograph.\n');
  await writeFile(at('drawing.jpg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
  await writeFile(at('empty.jpg'), '');
  await mkdir(at('folder'));
});
afterAll(() => rm(dir, { recursive: true, force: true }));

/** A trace of the program's insides: lines of a stack, names of modules, errors of its own. */
const STACK = /\n\s+at |node:internal|Error:|error of its own|undefined|NaN/;
/** Sentences among the lines of progress. */
const sentences = (err: string): string[] => err.split('\n').filter((line) => line.endsWith('.'));

describe('law', () => {
  it('the forty megapixels are forty, and the small face is 200 px', async () => {
    const { width, height } = await sharp(at('forty-megapixels.jpg')).metadata();
    expect((width * height) / 1e6).toBeGreaterThan(40);
  });

  it('a photograph of forty megapixels is compared like any other, and the folder is whole', async () => {
    const { exit, out, err } = await ebbline(
      'compare',
      '--before',
      at('forty-megapixels.jpg'),
      '--after',
      at('after.jpg'),
      '--out',
      at('large'),
      '--json',
    );
    expect([exit, err]).toEqual([0, expect.not.stringMatching(STACK)]);
    const comparison = comparisonSchema.parse(JSON.parse(out));
    expect(comparison.gate.comparable).toBe(true);
    expect(comparison.inputs[0].facts).toMatchObject({ widthPx: 5660, heightPx: 7075 });
    expect(JSON.parse(await readFile(join(at('large'), 'comparison.json'), 'utf8'))).toEqual(comparison);
    expect(await readdir(at('large'))).toContain('report.html');
  });

  it('a grey photograph is an answer with its reason, and a whole folder that says so', async () => {
    const { exit, out, err } = await ebbline('compare', '--before', at('before.jpg'), '--after', at('grey.jpg'), '--out', at('grey-out'));
    expect([exit, err]).toEqual([3, expect.not.stringMatching(STACK)]);
    expect(out).toMatch(/black and white/);
    const { gate, zones } = comparisonSchema.parse(JSON.parse(await readFile(join(at('grey-out'), 'comparison.json'), 'utf8')));
    expect([gate.comparable, zones]).toEqual([false, []]);
    expect(gate.checks.filter(({ verdict }) => verdict === 'refuse').map(({ id }) => id)).toEqual(['colour-data']);
    expect(await readFile(join(at('grey-out'), 'report.html'), 'utf8')).toMatch(/black and white/);
  });
});

describe('refusal', () => {
  it('check answers for every file in one go, in JSON that parses, and the worst decides', async () => {
    const { exit, out, err } = await ebbline('check', ...NAMES.map(at), '--json');
    expect([exit, err]).toEqual([4, expect.not.stringMatching(STACK)]);
    const answers = JSON.parse(out) as {
      file: string;
      ok: boolean;
      why?: string;
      detail?: string;
      check?: { checks: { verdict: string; message: string }[] };
    }[];
    expect(answers.map(({ file }) => file)).toEqual(NAMES.map(at));
    const wrong = answers.filter(({ ok, why, detail, check }, k) => {
      const wanted = FILES[NAMES[k]];
      const refusing = check?.checks.filter(({ verdict }) => verdict === 'refuse').map(({ message }) => message) ?? [];
      return ok !== (wanted.why === null) || (why ?? null) !== wanted.why || !wanted.words.test(detail ?? refusing.join(' '));
    });
    expect(wrong).toEqual([]);
  });

  it('check in words says the same, without a stack', async () => {
    const { exit, out, err } = await ebbline('check', ...NAMES.map(at));
    expect([exit, `${out}${err}`]).toEqual([4, expect.not.stringMatching(STACK)]);
    expect(NAMES.filter((name) => FILES[name].why !== null && !FILES[name].words.test(out))).toEqual([]);
  });

  for (const name of NAMES.filter((each) => FILES[each].why !== null))
    it(`compare with ${name}: exit ${FILES[name].exit}, one sentence that names it, nothing written`, async () => {
      const { exit, out, err } = await ebbline(
        'compare',
        '--before',
        at('before.jpg'),
        '--after',
        at(name),
        '--out',
        at(`out-${name}`),
        '--json',
      );
      expect([exit, err]).toEqual([FILES[name].exit, expect.not.stringMatching(STACK)]);
      expect(sentences(err)).toEqual([expect.stringMatching(FILES[name].words)]);
      expect(sentences(err)[0]).toContain(name);
      expect(JSON.parse(out)).toEqual({ ok: false, why: FILES[name].why, detail: sentences(err)[0] });
      expect((await readdir(dir)).filter((each) => each.includes('out-') && !each.startsWith('grey-out'))).toEqual([]);
    });

  it('wrong usage: exit 2 before a file is read', async () => {
    const wrong: [args: string[], words: RegExp][] = [
      [['compare', '--before', at('absent.jpg')], /second visit with --after/],
      [['compare', '--before', at('a'), '--afer', at('b')], /Did you mean --after\?/],
      [['compare', '--before', at('a'), '--after', at('b'), '--out', at('empty.jpg')], /is a file/],
      [['check'], /at least one photograph/],
      [['measure'], /There is no command "measure"/],
    ];
    for (const [args, words] of wrong) {
      const { exit, out, err } = await ebbline(...args);
      expect([exit, out, err]).toEqual([2, '', expect.stringMatching(words)]);
      expect(err).not.toMatch(STACK);
    }
  });

  it('a reader that goes away is no error', async () => {
    const said = await new Promise((done) => {
      execFile('sh', ['-c', `"${process.execPath}" "${CLI}" --help | true; echo done`], (error, out) => done(error ?? out));
    });
    expect(said).toBe('done\n');
  });
});
