/** The demo as a new user runs it: three views, the real measurement, the folder of results. */
import { execFile } from 'node:child_process';
import { existsSync } from 'node:fs';
import { readdir, readFile } from 'node:fs/promises';
import { join, resolve } from 'node:path';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';
import { comparisonSchema } from '#shared/comparison.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { OUT_PICTURES } from '#workers/commands/out-folder.ts';
import { demoCase } from '#workers/demo-case.ts';

const ROOT = resolve(import.meta.dirname, '../..');

describe('law', () => {
  it('every photograph of the case is there, and what was taken away is known for each treated zone', async () => {
    const { before, after, treatedZones, truthMl } = await demoCase();
    expect([...before, ...after].filter((name) => !existsSync(join(ROOT, 'demo-images', name)))).toEqual([]);
    expect(truthMl.map(([zone]) => zone)).toEqual(treatedZones);
    expect(truthMl.filter(([, volume]) => !(volume < 0))).toEqual([]);
  });
  it(
    'the demo finds the loss in both midfaces, and writes pictures of all three views: exit 0',
    () =>
      withDir(async (dir) => {
        const out = join(dir, 'demo');
        const { stdout, stderr } = await promisify(execFile)(
          process.execPath,
          [join(ROOT, 'workers/cli.ts'), 'demo', '--json', '--out', out],
          { maxBuffer: 1e8 },
        );
        const comparison = comparisonSchema.parse(JSON.parse(stdout));
        const volumes = comparison.zones.flatMap(({ zone, metrics }) =>
          metrics.volumeMl?.finding === 'beyond-error' ? [[zone, Math.sign(metrics.volumeMl.value)]] : [],
        );
        expect(volumes).toContainEqual(['midface-left', -1]);
        expect(volumes).toContainEqual(['midface-right', -1]);
        expect(comparison.control.trusted).toBe(true);
        const pictures = ['frontal', 'oblique-left', 'oblique-right'].flatMap((view) =>
          OUT_PICTURES.map((picture) => `${view}.${picture}.jpg`),
        );
        expect((await readdir(out)).sort()).toEqual(['comparison.json', 'evidence.json', 'report.html', 'table.csv', ...pictures].sort());
        expect(await readFile(join(out, 'comparison.json'), 'utf8')).toBe(stdout);
        // Steps of progress and the last word; the landmark engine's own chatter is kept out.
        expect(stderr.split('\n').filter((line) => /^[WIEF]\d{4}|INFO:|WARNING:/.test(line))).toEqual([]);
      }),
    240_000,
  );
});
