/**
 * `npm run bench`: how long the main job takes and how much memory it needs, written to `docs/benchmark.md`.
 *
 * The pair is the demo's frontal one, enlarged to 12 megapixels with fine grain, so that its JPEGs cost what a camera's do.
 * The yardstick is the time in which the image library decodes both photographs at full size on the same machine.
 */
import { execFileSync } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { cpus, totalmem } from 'node:os';
import { join } from 'node:path';
import sharp from 'sharp';
import { randomFrom } from '#lib/stats/random.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { demoCase, demoSources } from '#workers/demo-case.ts';
import type { CaseFigures } from './bench-case.ts';
import type { BenchFigures } from './bench-run.ts';
import { measureSeries, seriesSection } from './bench-series.ts';
import type { SolveFigures } from './bench-solve.ts';
import { caseSection } from './case-section.ts';
import { buildPage } from './page-build.ts';
import { ROOT } from './step.ts';

const FOLDER = join(ROOT, 'tests', '.output', 'bench');
const REPORT = join(ROOT, 'docs', 'benchmark.md');
const MEGAPIXELS = 12;
/** What the project asks of itself on two cores. */
const GOAL = { timesDecode: 8, memoryMb: 900, oneViewMs: 600, threeViewsMs: 1500 };

mkdirSync(FOLDER, { recursive: true });
if (!(await buildPage()).ok) process.exit(1); // the page of a case is measured, too
const { before, after } = await demoCase();
const files = await Promise.all(
  [before[0], after[0]].map(async (name, index) => {
    const [{ bytes }] = await demoSources([name]);
    const file = join(FOLDER, `${index === 0 ? 'before' : 'after'}.jpg`);
    writeFileSync(file, await enlarged(bytes, index + 1));
    return file;
  }),
);

const runs = [1, 2].map(() => measure<BenchFigures>('bench-run.ts', files)); // each in a process of its own: the first also warms the disk's cache
const figures = runs[1];
const times = figures.pairWarmMs / figures.decodeBothMs;
const report =
  reportOf(figures, times, measure<SolveFigures>('bench-solve.ts', [])) +
  caseSection(measure<CaseFigures>('bench-case.ts', files.slice(0, 1)), MEGAPIXELS) +
  seriesSection(measureSeries(measure, files, FOLDER));
writeFileSync(REPORT, report);
console.log(report);
console.log(`Written to ${REPORT}`);

/** Same scene, 12 megapixels; grain of five codes, because an enlarged picture alone would be too smooth to cost what a camera's does. */
async function enlarged(bytes: Uint8Array, seed: number): Promise<Buffer> {
  const { width, height } = await sharp(bytes).metadata();
  const scale = Math.sqrt((MEGAPIXELS * 1e6) / (width * height));
  const [toWidth, toHeight] = [Math.round(width * scale), Math.round(height * scale)];
  const { data } = await sharp(bytes)
    .resize(toWidth, toHeight, { kernel: 'cubic' })
    .removeAlpha()
    .raw()
    .toBuffer({ resolveWithObject: true });
  const random = randomFrom(seed);
  const grain = Int8Array.from({ length: 65_537 }, () => Math.round(5 * random.normal()));
  for (let i = 0; i < data.length; i++) data[i] = Math.max(0, Math.min(255, data[i] + grain[i % grain.length]));
  return sharp(data, { raw: { width: toWidth, height: toHeight, channels: 3 } })
    .jpeg({ quality: 92 })
    .toBuffer();
}

function measure<T>(script: string, words: readonly string[]): T {
  const out = execFileSync(process.execPath, [join(ROOT, 'workers/tasks', script), ...words], {
    cwd: ROOT,
    encoding: 'utf8',
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  return JSON.parse(out) as T;
}

function reportOf(f: BenchFigures, timesDecode: number, solve: SolveFigures): string {
  const ms = (value: number) => `${value.toFixed(value < 100 ? 1 : 0)} ms`;
  const met = (yes: boolean) => (yes ? 'met' : 'not met');
  return `# Benchmark

Written by \`npm run bench\` on ${new Date().toISOString().slice(0, 10)} at commit ${commit()}. Ebbline ${EBBLINE_VERSION}, Node ${process.versions.node}, ${cpus().length} x ${cpus()[0]?.model.trim() ?? 'unknown processor'}, ${(totalmem() / 2 ** 30).toFixed(0)} GiB.
The pair is the demo's frontal one at ${MEGAPIXELS} megapixels, ${(f.fileBytes / 2 ** 20).toFixed(1)} MiB of JPEG for both. Medians of ${f.repeats}.

| what | figure |
| --- | --- |
| one landmark call, ${f.glancePx} px | ${ms(f.landmarkCallMs)} |
| decoding both photographs at full size, together | ${ms(f.decodeBothMs)} |
| the same, one after the other | ${ms(f.decodeInTurnMs)} |
| one pair, cold (a new process, engine not started) | ${ms(f.pairColdMs)} |
| one pair, warm | ${ms(f.pairWarmMs)} |
| warm pair over decoding together | ${timesDecode.toFixed(1)} times (goal ${GOAL.timesDecode}: ${met(timesDecode <= GOAL.timesDecode)}) |
| peak memory of the process | ${f.peakMb.toFixed(0)} MB (goal ${GOAL.memoryMb}: ${met(f.peakMb < GOAL.memoryMb)}) |
${f.comparable ? '' : '\nThe pair was not found comparable, so its time is that of the gate alone.\n'}
## The displacement fit alone

The demo's views; medians of three. What each view has of its own (light, misfit, expression) is eliminated view by view, so the time grows as their
number; in the cells that enter it is linear, with the factoring of the system as its floor; in the bumps of the field it tends to the cube.

| what | figure |
| --- | --- |
${solve.viewsMs.map((t, v) => `| ${v + 1} view${v ? 's' : ''} | ${ms(t)}${v === 0 ? ` (goal ${GOAL.oneViewMs} ms: ${met(t <= GOAL.oneViewMs)})` : v === 2 ? ` (goal ${GOAL.threeViewsMs} ms: ${met(t <= GOAL.threeViewsMs)})` : ''} |`).join('\n')}
${solve.cells.map(({ rows, ms: t }) => `| one view, ${rows} cells | ${ms(t)} |`).join('\n')}
${solve.bumps.map(({ bumps, ms: t }) => `| one view, ${bumps} bumps | ${ms(t)} |`).join('\n')}
`;
}

/** The commit measured, with a plus when files differ from it; "unknown" outside a checkout. */
function commit(): string {
  const git = (...words: string[]): string =>
    execFileSync('git', words, { cwd: ROOT, encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }).trim();
  try {
    return git('rev-parse', '--short', 'HEAD') + (git('status', '--porcelain', '--untracked-files=no') ? '+' : '');
  } catch {
    return 'unknown';
  }
}
