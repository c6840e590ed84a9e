/** A pair of real photographs without change, or with one painted into the second. Only the figures are kept, never a picture. */
import { readFileSync } from 'node:fs';
import { comparePair } from '#lib/compare/compare-pair.ts';
import { paintChange } from '#lib/compare/paint-change.ts';
import { type CompareFault, sight } from '#lib/compare/sight-all.ts';
import type { PhotoSource } from '#lib/compare/types.ts';
import type { Face } from '#lib/face/types.ts';
import { encodeImage } from '#lib/photo/encode.ts';
import type { CaseFacts, CaseResult } from '#lib/report/validation-result.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { found, type Outcome } from '#shared/outcome.ts';
import { resultOf } from './result-of.ts';
import type { Task } from './tasks.ts';

const JPEG_QUALITY = 95;
/** Electrons at white: the grain of a good camera in good light. */
const FULL_WELL = 30_000;

export async function measureReal(task: Extract<Task, { kind: 'real' }>): Promise<CaseResult> {
  const { id, face, paint, source } = task;
  const facts: CaseFacts = {
    id,
    source: paint ? 'painted' : source,
    group: paint ? 'one-zone' : 'no-change',
    face,
    tone: null,
    views: 1,
    nuisance: source === 'talking' ? 'frames' : 'grain',
    concern: [],
    changed: paint ? [paint.zone] : [],
    nominalMl: paint?.volumeMl ?? 0,
    truth: {},
    pupilsMm: null,
  };
  const pair = await photographs(task);
  if (!pair.ok) return resultOf(facts, pair);
  return resultOf({ ...facts, truth: pair.value.zoneMl }, await comparePair([pair.value.before], [pair.value.after]));
}

type Pair = Readonly<{ before: PhotoSource; after: PhotoSource; zoneMl: CaseFacts['truth'] }>;

async function photographs({
  before,
  after,
  paint,
  source,
  grainSeed,
}: Extract<Task, { kind: 'real' }>): Promise<Outcome<Pair, CompareFault>> {
  const [b, a] = [fileOf(before, 'before.jpg'), fileOf(after, 'after.jpg')];
  if (source === 'talking' && !paint) return found({ before: b, after: a, zoneMl: {} });
  const [sightB, sightA] = [await sight(b, { kind: 'iris' }), await sight(a, { kind: 'iris' })];
  if (!sightB.ok) return sightB;
  if (!sightA.ok) return sightA;
  const painted = paint ? paintChange(sightA.value, paint) : null;
  const data = painted?.picture.data ?? sightA.value.photo.data;
  return found({
    before: { name: 'before.jpg', bytes: await encoded(sightB.value, sightB.value.photo.data) },
    after: { name: 'after.jpg', bytes: await encoded(sightA.value, withGrain(data, grainSeed)) },
    zoneMl: painted?.zoneMl ?? {},
  });
}

const fileOf = (path: string, name: string): PhotoSource => ({ name, bytes: new Uint8Array(readFileSync(path)) });

const encoded = ({ photo: { width, height } }: Face, data: Float32Array): Promise<Uint8Array> =>
  encodeImage({ encoding: 'linear-srgb', width, height, data }, 'jpeg', { quality: JPEG_QUALITY });

function withGrain(data: Float32Array, seed: number): Float32Array {
  const random = randomFrom(seed);
  return data.map((value) => value + random.normal() * Math.sqrt(Math.max(0, value) / FULL_WELL));
}
