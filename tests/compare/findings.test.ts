import { describe, expect, it } from 'vitest';
import { findingOf, judge, tidy, twoSided } from '#lib/compare/findings.ts';
import { difference, type Readings } from '#lib/measure/reading.ts';
import { SET_UP_ERROR } from '#lib/measure/set-up-error.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';

/** A reading whose error, with the set-up's share, is exactly `total`. */
const volume = (value: number, total: number): Readings => {
  const own = Math.sqrt(total ** 2 - SET_UP_ERROR.volumeMl ** 2);
  return { volumeMl: difference(value, own) };
};

describe('law', () => {
  it('calls a change beyond error only when it passes both the smallest detectable change and Holm', () => {
    // z = 2.5 alone passes both; among 20 quiet zones it still passes the SDC but not Holm.
    const alone = judge(new Map([['chin', volume(-0.5, 0.2)]]), []).get('chin')!.volumeMl!;
    expect(alone.finding).toBe('beyond-error');
    const many = new Map<ZoneId, Readings>(ZONE_IDS.slice(0, 20).map((zone, i) => [zone, volume(i === 0 ? -0.5 : 0.01, 0.2)]));
    const one = judge(many, []).get(ZONE_IDS[0])!.volumeMl!;
    expect(Math.abs(one.value)).toBeGreaterThan(one.sdc);
    expect(one.finding).toBe('within-error');
  });

  it('gives zones named beforehand a family of their own', () => {
    const many = new Map<ZoneId, Readings>(ZONE_IDS.slice(0, 20).map((zone, i) => [zone, volume(i === 0 ? -0.5 : 0.01, 0.2)]));
    expect(judge(many, [ZONE_IDS[0]]).get(ZONE_IDS[0])!.volumeMl!.finding).toBe('beyond-error');
  });

  it('judges ratios against one, on the logarithm, alike upwards and downwards', () => {
    const reading = (value: number): Readings => ({ textureFineRatio: { value, u: value * 0.1, uNull: 0.1, rest: 1 } });
    const up = judge(new Map([['chin', reading(2)]]), []).get('chin')!.textureFineRatio!;
    const down = judge(new Map([['chin', reading(0.5)]]), []).get('chin')!.textureFineRatio!;
    expect(up.p).toBeCloseTo(down.p, 12);
    expect(up.finding).toBe('beyond-error');
    expect(up.ci95[0] * down.ci95[1]).toBeCloseTo(1, 4);
  });

  it('lets only the deciding metrics decide, and none means not assessable', () => {
    const metrics = judge(new Map([['chin', { ...volume(0.01, 0.2), rednessDelta: difference(30, 0.1) }]]), []).get('chin')!;
    expect(metrics.rednessDelta!.finding).toBe('beyond-error');
    expect(findingOf(metrics)).toBe('within-error');
    expect(findingOf({})).toBe('not-assessable');
  });

  it('never returns minus zero and keeps six digits', () => {
    expect(Object.is(tidy(-1e-9), 0)).toBe(true);
    expect(tidy(123456.789)).toBe(123457);
  });
});

describe('oracle: Buitenhuis et al., J Clin Med 2022;11:7137, SEM 5.09 mL and SDC 14.1 mL', () => {
  it('has a smallest detectable change of 1.96 sqrt(2) SEM', () => {
    const total = Math.SQRT2 * 5.09;
    const result = judge(new Map([['chin', volume(0, total)]]), []).get('chin')!.volumeMl!;
    expect(result.sdc).toBeCloseTo(14.11, 2);
  });
});

describe('oracle: the normal table', () => {
  it('gives two-sided probabilities of 0.05 at 1.96 and 0.0027 at 3', () => {
    expect(twoSided(1.959964)).toBeCloseTo(0.05, 6);
    expect(twoSided(-3)).toBeCloseTo(0.0026998, 6);
  });
});
