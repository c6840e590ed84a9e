/** One measured run in a process of its own, for `bench.ts`: prints its figures as JSON. */
import { readFileSync } from 'node:fs';
import { basename } from 'node:path';
import sharp from 'sharp';
import { comparePair } from '#lib/compare/compare-pair.ts';
import { openEngine } from '#lib/face/engine.ts';
import { openPhoto } from '#lib/photo/open.ts';
import { median } from '#lib/stats/quantile.ts';

export type BenchFigures = Readonly<{
  repeats: number;
  fileBytes: number;
  glancePx: number;
  landmarkCallMs: number;
  /** At the same time, on as many cores as there are. */
  decodeBothMs: number;
  /** One after the other. */
  decodeInTurnMs: number;
  pairColdMs: number;
  pairWarmMs: number;
  peakMb: number;
  comparable: boolean;
}>;

const REPEATS = 5;
const GLANCE_PX = 720;
const [beforeFile, afterFile] = process.argv.slice(2);
const source = (file: string) => ({ name: basename(file), bytes: new Uint8Array(readFileSync(file)) });
const before = source(beforeFile);
const after = source(afterFile);

// The pair comes first, while nothing is loaded: that is the cold one.
const pair = () => comparePair([before], [after]);
const [pairColdMs, first] = await timed(pair);
if (!first.ok) throw new Error(first.detail);
const pairWarmMs = await medianOf(pair);
const peakMb = process.resourceUsage().maxRSS / 1024;

const opened = await openPhoto(before.bytes, before.name);
const glance = opened.ok ? await opened.value.glance(GLANCE_PX) : opened;
if (!glance.ok) throw new Error(glance.detail);
const engine = await openEngine();
const landmarkCallMs = await medianOf(async () => engine.detect(glance.value));

const figures: BenchFigures = {
  repeats: REPEATS,
  fileBytes: before.bytes.length + after.bytes.length,
  glancePx: GLANCE_PX,
  landmarkCallMs,
  decodeBothMs: await medianOf(() => Promise.all([decode(before), decode(after)])),
  decodeInTurnMs: await medianOf(async () => {
    await decode(before);
    await decode(after);
  }),
  pairColdMs,
  pairWarmMs,
  peakMb,
  comparable: first.value.comparison.gate.comparable,
};
process.stdout.write(JSON.stringify(figures), () => process.exit(0)); // the engine would keep the process alive

function decode({ bytes }: { bytes: Uint8Array }): Promise<Buffer> {
  return sharp(bytes).raw().toBuffer();
}

async function timed<T>(work: () => Promise<T>): Promise<[number, T]> {
  const begun = performance.now();
  const result = await work();
  return [performance.now() - begun, result];
}

async function medianOf(work: () => Promise<unknown>): Promise<number> {
  const times: number[] = [];
  for (let i = 0; i < REPEATS; i++) times.push((await timed(work))[0]);
  return median(times);
}
