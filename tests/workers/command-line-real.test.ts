/**
 * The command as people run it: a process of its own, with the real measurement, on files that are no good.
 * What matters: one sentence that names the file, the right exit code, no stack, nothing on the output meant for results.
 */
import { execFile } from 'node:child_process';
import { writeFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { withDir } from '#tests/record/sample-jobs.ts';

const CLI = resolve(import.meta.dirname, '../../workers/cli.ts');

function run(...args: string[]): Promise<{ exit: number; out: string; err: string }> {
  return new Promise((done) => {
    execFile(process.execPath, [CLI, ...args], (error, out, err) => done({ exit: error ? Number(error.code) : 0, out, err }));
  });
}

/** Steps of progress are lines of their own, without a full stop. */
const complaints = (err: string): string[] => err.split('\n').filter((line) => line.endsWith('.'));

let jpeg: Buffer;
beforeAll(async () => {
  // Grey noise: a photograph, of nobody.
  const pixels = Uint8Array.from({ length: 3 * 600 * 800 }, (_, i) => 110 + ((i * 7919) % 61));
  jpeg = await sharp(pixels, { raw: { width: 600, height: 800, channels: 3 } })
    .jpeg()
    .toBuffer();
});

const BAD: { name: string; file: string; bytes: () => Uint8Array; exit: number; words: RegExp }[] = [
  { name: 'zero bytes', file: 'zero.jpg', bytes: () => new Uint8Array(0), exit: 4, words: /empty/ },
  {
    name: 'a text named .jpg',
    file: 'text.jpg',
    bytes: () => new TextEncoder().encode('Dear diary, this is no photograph.'),
    exit: 4,
    words: /not/,
  },
  {
    name: 'a photograph cut short',
    file: 'cut.jpg',
    bytes: () => jpeg.subarray(0, jpeg.length / 2),
    exit: 4,
    words: /cut|incomplete|ends|broken|truncated/i,
  },
  {
    name: 'a drawing',
    file: 'drawing.jpg',
    bytes: () => new TextEncoder().encode('<svg xmlns="http://www.w3.org/2000/svg"/>'),
    exit: 4,
    words: /./,
  },
  { name: 'no face', file: 'nobody.jpg', bytes: () => jpeg, exit: 3, words: /face/ },
];

describe('refusal', () => {
  for (const { name, file, bytes, exit, words } of BAD)
    it(`${name}: exit ${exit} and one sentence that names the file`, () =>
      withDir(async (dir) => {
        const path = join(dir, file);
        await writeFile(path, bytes());
        const compared = await run('compare', '--before', path, '--after', path, '--out', join(dir, 'out'));
        expect([compared.exit, compared.out]).toEqual([exit, '']);
        expect(complaints(compared.err)).toEqual([expect.stringMatching(words)]);
        expect(compared.err).toContain(file);
        expect(compared.err).not.toMatch(/\n\s+at |Error:|node:/);
      }));
  it('all of them at once: check answers for each, and the worst decides', () =>
    withDir(async (dir) => {
      const paths = [];
      for (const { file, bytes } of BAD) {
        paths.push(join(dir, file));
        await writeFile(join(dir, file), bytes());
      }
      const { exit, out, err } = await run('check', ...paths, '--json');
      expect(exit).toBe(4);
      const answers = JSON.parse(out) as { file: string; ok: boolean; detail: string }[];
      expect(answers.map(({ file }) => file)).toEqual(paths);
      expect(answers.filter(({ ok, detail }) => ok || !/^[^\n]+\.$/.test(detail))).toEqual([]);
      expect(err).not.toMatch(/\n\s+at /);
    }));
  it('usage: exit 2, at once', async () => {
    const { exit, out, err } = await run('compare', '--before', 'x.jpg', '--afer', 'y.jpg');
    expect([exit, out]).toEqual([2, '']);
    expect(err).toContain('Did you mean --after?');
  });
  it('a reader that goes away is no error', async () => {
    const exit = await new Promise((done) => {
      execFile('sh', ['-c', `"${process.execPath}" "${CLI}" --help | true; echo done`], (error, out) => done(error ?? out));
    });
    expect(exit).toBe('done\n');
  });
});
