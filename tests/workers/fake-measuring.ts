/**
 * A stand-in for the measurement, told what to do by the bytes of its "photographs": "no-face", "not-an-image", "throw",
 * "exit", "heap", "slow" (a second), "long" (ten), "deaf" (ten, never
 * listening for a stop), "refuse" (a pair that is not comparable).
 * It lets the tests of threads, queue and command line run without photographs and say what must come of each.
 */
import { createHash } from 'node:crypto';
import type { ComparedPair, PhotoSource } from '#lib/compare/types.ts';
import { encodeImage } from '#lib/photo/encode.ts';
import { found, refused } from '#shared/outcome.ts';
import type { Plate } from '#shared/plates.ts';
import { photoCheck } from '#tests/record/sample-jobs.ts';
import { incomparable, sampleComparison } from '#tests/report/sample-comparison.ts';
import { sampleField } from '#tests/report/sample-field.ts';
import type { Measuring } from '#workers/measuring.ts';

export const textOf = (source: PhotoSource): string => new TextDecoder().decode(source.bytes);
const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');

/** A thread that burns time as the measuring does: without a moment for messages. */
function burn(ms: number): void {
  const end = performance.now() + ms;
  while (performance.now() < end);
}

function act(text: string): void {
  if (text.includes('throw')) throw new TypeError('a mistake of a programmer');
  if (text.includes('exit')) process.exit(7);
  if (text.includes('heap')) {
    const hoard: number[][] = [];
    for (;;) hoard.push(new Array<number>(1_000_000).fill(hoard.length));
  }
}

export const fakePlate = (): Plate => {
  const [width, height] = [60, 80];
  const rgb = new Uint8Array(3 * width * height).fill(150);
  const field = Float32Array.from({ length: width * height }, (_, i) => (i % width < 30 ? -1 : Number.NaN));
  return {
    view: 'frontal',
    width,
    height,
    mmPerPx: 2,
    before: rgb,
    afterAligned: rgb,
    afterRelit: rgb,
    displacementMm: field,
    lightnessDelta: field,
    zoneIndex: new Int8Array(width * height),
    trust: new Uint8Array(width * height).fill(255),
    zoneOutlines: { 'midface-left': [[10.123456, 10, 20, 10, 20, 30]] },
  };
};

export const fakeMeasuring: Measuring = {
  warm: async () => undefined,
  takenAt: async (source) => (textOf(source).includes('dated') ? '2026-11-20T10:00:00' : null),
  preview: async (source) => {
    if (textOf(source).includes('not-an-image')) return refused('not-an-image', `${source.name} is not a photograph.`);
    return found(await encodeImage({ width: 4, height: 4, channels: 3, data: new Uint8Array(48).fill(source.bytes.length % 256) }, 'jpeg'));
  },
  checkPhoto: async (source) => {
    act(textOf(source));
    if (textOf(source).includes('not-an-image')) return refused('not-an-image', `${source.name} is not a photograph.`);
    if (textOf(source).includes('no-face')) return refused('no-face', `No face was found in ${source.name}.`);
    return found({ ...photoCheck(sha256(source.bytes)), name: source.name });
  },
  comparePair: async (before, after, options) => {
    const all = [...before, ...after];
    const text = all.map(textOf).join(' ');
    for (const source of all) {
      if (textOf(source).includes('not-an-image')) return refused('not-an-image', `${source.name} is not a photograph.`);
      if (textOf(source).includes('no-face')) return refused('no-face', `No face was found in ${source.name}.`);
    }
    for (let i = 0; i <= 10; i++) {
      if (!text.includes('deaf') || i === 0) options.onProgress?.(i < 5 ? 'Aligning' : 'Measuring', i / 10);
      if (/slow|long|deaf/.test(text)) burn(/deaf|long/.test(text) ? 1_000 : 100);
    }
    act(text);
    const made = text.includes('refuse') ? incomparable() : sampleComparison();
    const inputs = made.inputs.map((input) => {
      const source = (input.role === 'before' ? before : after)[0]!;
      return { ...input, name: source.name, sha256: sha256(source.bytes) };
    });
    const comparison = {
      ...made,
      inputs,
      parameters: { days: options.daysSinceTreatment ?? null, concern: options.concernZones ?? [], scale: options.scale ?? null },
    };
    return found({
      comparison,
      plates: made.gate.comparable ? [fakePlate()] : [],
      field: made.gate.comparable ? sampleField() : null,
      readings: new Map(),
    } satisfies ComparedPair);
  },
};
