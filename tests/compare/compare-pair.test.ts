import sharp from 'sharp';
import { beforeAll, describe, expect, it } from 'vitest';
import { comparePair } from '#lib/compare/compare-pair.ts';
import type { ComparedPair, CompareOptions, PhotoSource } from '#lib/compare/types.ts';
import { comparisonSchema, METRICS, type MetricId } from '#shared/comparison.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { photoPair } from './phantom-photos.ts';

async function compared(before: PhotoSource, after: PhotoSource, options: CompareOptions = {}): Promise<ComparedPair> {
  const outcome = await comparePair([before], [after], options);
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
}

const beyond = ({ comparison }: Pick<ComparedPair, 'comparison'>): string[] =>
  comparison.zones.filter((zone) => zone.finding === 'beyond-error').map((zone) => zone.zone);

let before: PhotoSource;
let lost: PhotoSource;

beforeAll(async () => {
  const pair = await photoPair(311, {
    loss: [
      { zone: 'midface-left', volumeMl: -1.2 },
      { zone: 'midface-right', volumeMl: -1 },
    ],
  });
  before = pair.before;
  lost = pair.after;
});

describe('law', () => {
  it('finds no change whatever between a photograph and itself', async () => {
    const { comparison } = await compared(before, before);
    expect(comparison.gate.comparable).toBe(true);
    const offenders = comparison.zones.flatMap((zone) =>
      (Object.keys(zone.metrics) as MetricId[]).flatMap((id) => {
        const rest = METRICS[id].label.endsWith('texture') ? 1 : 0;
        return Math.abs(zone.metrics[id]!.value - rest) > 1e-4 ? [`${zone.zone} ${id} ${zone.metrics[id]!.value}`] : [];
      }),
    );
    expect(offenders).toEqual([]);
    expect(beyond({ comparison })).toEqual([]);
    expect(comparison.control.trusted).toBe(true);
  });

  it('finds no change in a copy that was saved anew at lower quality', async () => {
    const copy = { name: 'copy.jpg', bytes: await sharp(before.bytes).jpeg({ quality: 75 }).toBuffer() };
    expect(beyond(await compared(before, copy))).toEqual([]);
  });

  it('finds no change in a copy that was brightened, and says by how much it was', async () => {
    const raw = await sharp(before.bytes).raw().toBuffer({ resolveWithObject: true });
    const linear = (code: number): number => (code / 255 <= 0.04045 ? code / 255 / 12.92 : ((code / 255 + 0.055) / 1.055) ** 2.4);
    const coded = (value: number): number =>
      Math.round(255 * (value <= 0.0031308 ? 12.92 * value : 1.055 * Math.min(1, value) ** (1 / 2.4) - 0.055));
    const brighter = Buffer.from(raw.data.map((code) => coded(1.15 * linear(code))));
    const copy = {
      name: 'copy.jpg',
      bytes: await sharp(brighter, { raw: { width: raw.info.width, height: raw.info.height, channels: 3 } })
        .jpeg({ quality: 95 })
        .toBuffer(),
    };
    const result = await compared(before, copy);
    expect(result.comparison.light[0].exposureRatio).toBeCloseTo(1.15, 2);
    expect(beyond(result)).toEqual([]);
  });

  it('finds the loss that was made, on both sides, with the sign of a loss, and nothing elsewhere', async () => {
    const { comparison } = await compared(before, lost);
    const found = comparison.zones.filter((zone) => zone.metrics.volumeMl?.finding === 'beyond-error').map((zone) => zone.zone);
    expect(found).toEqual(['midface-left', 'midface-right']);
    for (const id of found) expect(comparison.zones.find((zone) => zone.zone === id)!.metrics.volumeMl!.value).toBeLessThan(-0.4);
    expect(comparison.pooled!.finding).toBe('beyond-error');
    expect(comparison.pooled!.volumeMl.value).toBeLessThan(-0.8);
    expect(comparison.control.trusted).toBe(true);
  });

  it('turns the sign when before and after change places', async () => {
    const { comparison } = await compared(lost, before);
    for (const side of ['left', 'right'] as const)
      expect(comparison.zones.find((zone) => zone.zone === `midface-${side}`)!.metrics.volumeMl!.value).toBeGreaterThan(0.4);
  });

  it('gives the same bytes for the same photographs', async () => {
    const [one, two] = [await compared(before, lost), await compared(before, lost)];
    expect(JSON.stringify(two.comparison)).toBe(JSON.stringify(one.comparison));
    expect(Buffer.from(two.plates[0].displacementMm.buffer).equals(Buffer.from(one.plates[0].displacementMm.buffer))).toBe(true);
    expect(Buffer.from(two.plates[0].afterRelit).equals(Buffer.from(one.plates[0].afterRelit))).toBe(true);
  });

  it('keeps to its schema, names every zone, and carries no path', async () => {
    const { comparison } = await compared({ ...before, name: 'before.jpg' }, lost);
    expect(comparisonSchema.parse(JSON.parse(JSON.stringify(comparison)))).toEqual(comparison);
    expect(comparison.zones.map((zone) => zone.zone)).toEqual([...ZONE_IDS]);
    expect(JSON.stringify(comparison)).not.toMatch(/"[^"]*\/(?:home|root|tmp|work)\//);
  });

  it('reports steps that only go forward', async () => {
    const seen: number[] = [];
    await compared(before, before, { onProgress: (_step, done) => seen.push(done) });
    expect(seen.length).toBeGreaterThan(4);
    expect([...seen].sort((a, b) => a - b)).toEqual(seen);
  });
});

describe('refusal', () => {
  it('answers with reasons, not numbers, when the head is turned', async () => {
    const turned = (await photoPair(311, { nuisance: { yawDeg: 15 } })).after;
    const { comparison, plates } = await compared(before, turned);
    expect(comparison.gate.comparable).toBe(false);
    expect(comparison.zones).toEqual([]);
    expect(plates).toEqual([]);
    const reason = comparison.gate.checks.find((check) => check.verdict === 'refuse')!;
    expect(reason.id).toBe('yaw-difference');
    expect(reason.advice.length).toBeGreaterThan(20);
  });

  it("names the file that can't be read, and the side that has no photograph", async () => {
    const broken = await comparePair([before], [{ name: 'notes.jpg', bytes: new TextEncoder().encode('not a picture') }]);
    expect(broken).toMatchObject({ ok: false, why: 'not-an-image', detail: expect.stringContaining('notes.jpg') });
    expect(await comparePair([], [before])).toMatchObject({ ok: false, why: 'no-photos' });
  });
});
