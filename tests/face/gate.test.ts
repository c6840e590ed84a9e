import { describe, expect, it } from 'vitest';
import { checkFace, judgePair } from '#lib/face/gate.ts';
import { atLeast, atMost, judged } from '#lib/face/gate-check.ts';
import type { Face } from '#lib/face/types.ts';
import { CHECK_IDS, type Check, type CheckId, checkSchema } from '#shared/comparison.ts';
import { rendered, sighted, sightedPair } from './phantoms.ts';

const find = (checks: readonly Check[], id: CheckId): Check => {
  const check = checks.find((c) => c.id === id);
  if (!check) throw new Error(`no check ${id}`);
  return check;
};
const refused = (checks: readonly Check[]): string[] => checks.filter((c) => c.verdict === 'refuse').map((c) => c.id);
const OF_A_PAIR: readonly CheckId[] = CHECK_IDS.slice(CHECK_IDS.indexOf('view-match'));

describe('law', () => {
  it('bounds decide: at the limit passes, beyond it does not, and a value that is not a number is refused', () => {
    const verdict = (value: number | null, bounds: Parameters<typeof judged>[0]['bounds']) =>
      judged({ id: 'yaw', of: 'photo', view: 'frontal', value, unit: 'deg', bounds, message: 'm', advice: 'a' });
    expect([4, 4.1, 10, 10.1, null, Number.NaN].map((v) => verdict(v, atMost(4, 10)).verdict)).toEqual([
      'pass',
      'caution',
      'caution',
      'refuse',
      'pass',
      'refuse',
    ]);
    expect([2.5, 2.4, 1.2, 1.1].map((v) => verdict(v, atLeast(2.5, 1.2)).verdict)).toEqual(['pass', 'caution', 'caution', 'refuse']);
    expect(verdict(1e9, atMost(4, null)).verdict).toBe('caution');
    expect(verdict(1, atMost(4, 10)).advice).toBe('');
    expect(verdict(5, atMost(4, 10)).advice).toBe('a');
  });

  it('every check of the contract is made once, fits its schema and speaks in whole sentences', async () => {
    const [before, after] = await sightedPair({ yawDeg: 2 });
    const single = checkFace(after);
    const pair = judgePair(before, after);
    expect([...single, ...pair].map((c) => c.id)).toEqual(CHECK_IDS.filter((id) => id !== 'registration'));
    expect(pair.map((c) => c.id)).toEqual(OF_A_PAIR.filter((id) => id !== 'registration'));
    for (const check of [...single, ...pair]) {
      expect(() => checkSchema.parse(check)).not.toThrow();
      expect(check.message).toMatch(/^[A-Z].*\.$/);
      expect(check.advice === '' || /^[A-Z].*\.$/.test(check.advice)).toBe(true);
    }
  });

  it('a photograph against itself passes everything', async () => {
    const [face] = await sightedPair({ yawDeg: 2 });
    expect(judgePair(face, face).filter((c) => c.verdict !== 'pass')).toEqual([]);
  });

  it('what a careful practice still shows is measured: light by 8 degrees, pose by 4, exposure, colour', async () => {
    const [before, after] = await sightedPair({
      lightAzimuthDeg: 8,
      yawDeg: 3,
      pitchDeg: -3,
      rollDeg: 2,
      exposure: 1.06,
      red: 1.03,
      blue: 0.97,
    });
    expect(refused([...before.checks, ...after.checks, ...judgePair(before, after)])).toEqual([]);
  });

  it('a pair judged the other way round gets the same verdicts', async () => {
    const [before, after] = await sightedPair({ yawDeg: 7, distanceFactor: 0.6, expression: { smile: 0.6 } });
    const verdicts = (checks: readonly Check[]) => checks.map((c) => `${c.id} ${c.verdict}`);
    expect(verdicts(judgePair(after, before))).toEqual(verdicts(judgePair(before, after)));
  });

  it.each([
    ['yaw-difference', { yawDeg: 14 }],
    ['pitch-difference', { pitchDeg: 16 }],
    ['perspective', { distanceFactor: 0.3 }],
    ['mouth-difference', { expression: { mouthOpen: 1 } }],
    ['eyes-difference', { expression: { lidClose: 1 } }],
    ['smile-difference', { expression: { smile: 1 } }],
    ['brow-difference', { expression: { browRaise: 1 } }],
    ['light-difference', { lightAzimuthDeg: 60 }],
    ['roll-difference', { rollDeg: 20 }],
    ['scale-difference', { sizeFactor: 0.72 }],
  ] as const)('%s is noticed when that is what differs', async (id, nuisance) => {
    const [before, after] = await sightedPair(nuisance);
    const checks = judgePair(before, after);
    expect(find(checks, id).verdict).not.toBe('pass');
    expect(find(checks, id).advice).not.toBe('');
    // the plain ones are beyond comparing
    if (['yaw-difference', 'pitch-difference', 'perspective'].includes(id)) expect(refused(checks)).toContain(id);
  });

  it('the light turn is read in about its degrees, with its side', async () => {
    const [before, after] = await sightedPair({ lightAzimuthDeg: 20 });
    const check = find(judgePair(before, after), 'light-difference');
    expect(check.message).toContain('right of the picture');
    expect(check.value).toBeGreaterThan(8);
    expect(check.value).toBeLessThan(32);
  });

  it('views that differ are not compared', async () => {
    const front = await sighted(rendered().raster);
    const turned = await sighted(rendered({ pose: { yawDeg: 35 } }).raster);
    const checks = judgePair(front, turned);
    expect(refused(checks)).toEqual(expect.arrayContaining(['view-match', 'yaw-difference']));
  });

  it('a black-and-white photograph is refused for its colour alone', async () => {
    const { raster } = rendered();
    const grey = raster.data.slice();
    for (let i = 0; i < grey.length; i += 3) grey.fill(Math.round(0.3 * grey[i] + 0.6 * grey[i + 1] + 0.1 * grey[i + 2]), i, i + 3);
    const face = await sighted({ ...raster, data: grey });
    expect(face.quality.greyscale).toBe(true);
    expect(refused(face.checks)).toEqual(['colour-data']);
  });

  it('over-exposure, blur and noise are each told by their own check', async () => {
    const bright = await sighted(rendered({ camera: { exposure: 4 } }).raster);
    const sharp = await sighted(rendered().raster);
    const soft = await sighted(rendered({ camera: { blurPx: 3 } }).raster);
    const noisy = await sighted(rendered({ camera: { fullWell: 400, readNoise: 6 } }).raster);
    expect(find(bright.checks, 'clipping').verdict).not.toBe('pass');
    expect(numberOf(soft, 'focus')).toBeGreaterThan(2 * numberOf(sharp, 'focus'));
    expect(find(soft.checks, 'focus').verdict).not.toBe('pass');
    expect(numberOf(noisy, 'noise')).toBeGreaterThan(2 * numberOf(sharp, 'noise'));
  });
});

const numberOf = (face: Face, id: CheckId): number => find(face.checks, id).value ?? Number.NaN;
