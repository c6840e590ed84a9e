import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ancova } from '#lib/stats/ancova.ts';
import { clusterBootstrapMean } from '#lib/stats/cluster-bootstrap.ts';
import { brownForsythe, welchAnova, welchDifference } from '#lib/stats/compare-groups.ts';
import { standardisedDifference, standardisedMeanChange } from '#lib/stats/effect-size.ts';
import { reliabilityBand } from '#lib/stats/icc-forms.ts';
import { exactLimitIntervals, limitsOfAgreement } from '#lib/stats/limits-of-agreement.ts';
import { noncentralTShare, noncentralTShift } from '#lib/stats/noncentral-t.ts';
import { oneSampleT } from '#lib/stats/one-sample.ts';
import { type Random, randomFrom } from '#lib/stats/random.ts';
import { repeatability } from '#lib/stats/repeatability.ts';
import { repeatedLimits } from '#lib/stats/repeated-limits.ts';
import { areaInterval, rocArea } from '#lib/stats/roc.ts';
import { type ClusteredScore, clusteredRocArea } from '#lib/stats/roc-clustered.ts';
import { errorOfChangeFromSdc, powerOfT, subjectsNeeded } from '#lib/stats/sample-size.ts';
import { shapiroWilk } from '#lib/stats/shapiro-wilk.ts';
import { signFlipTest } from '#lib/stats/sign-flip.ts';
import { signedRank } from '#lib/stats/signed-rank.ts';
import type { Outcome } from '#shared/outcome.ts';

const value = <T>(outcome: Outcome<T, string>): T => {
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
};
const draw = (random: Random, n: number, mean = 0, sd = 1): number[] => Array.from({ length: n }, () => mean + sd * random.normal());
/** Four standard errors of a share over so many trials: a right interval misses this once in 16 000 runs. */
const within = (share: number, wanted: number, trials: number): void =>
  expect(Math.abs(share - wanted)).toBeLessThan(4 * Math.sqrt((wanted * (1 - wanted)) / trials));

const finite = (what: unknown): boolean =>
  typeof what === 'number' ? Number.isFinite(what) : what === null || typeof what !== 'object' || Object.values(what).every(finite);

describe('law', () => {
  it('finds no change under no change as often as alpha says, by every one of the tests', () => {
    const random = randomFrom(61);
    const TRIALS = 2000;
    const alarms = { t: 0, rank: 0, flip: 0 };
    for (let trial = 0; trial < TRIALS; trial++) {
      const x = draw(random, 12);
      if (value(oneSampleT(x)).p < 0.05) alarms.t++;
      if (value(signedRank(x)).p < 0.05) alarms.rank++;
      if (value(signFlipTest(x, random)).p < 0.05) alarms.flip++;
    }
    within(alarms.t / TRIALS, 0.05, TRIALS);
    // Of the 4096 patterns of twelve, those with at most 13 in the smaller sum make 0.0425.
    within(alarms.rank / TRIALS, 0.0425, TRIALS);
    within(alarms.flip / TRIALS, 0.05, TRIALS);
  });

  it('samples patterns of signs to what counting them all gives, the same for one seed', () => {
    const x = draw(randomFrom(62), 22, 0.35);
    const sampled = value(signFlipTest(x, randomFrom(1)));
    expect(sampled).toEqual(value(signFlipTest(x, randomFrom(1))));
    let far = 0;
    const seen = Math.abs(x.reduce((a, b) => a + b));
    // Gray's code changes one sign at a time, so that all four million patterns take no time.
    const signed = x.map(Math.abs);
    let total = signed.reduce((a, b) => a + b);
    const signs = signed.map(() => 1);
    for (let k = 1; k <= 2 ** 22; k++) {
      if (Math.abs(total) >= seen - 1e-9) far++;
      const bit = Math.min(21, 31 - Math.clz32(k & -k));
      signs[bit] = -signs[bit];
      total += 2 * signs[bit] * signed[bit];
    }
    const exact = far / 2 ** 22;
    within(sampled.p, exact, 9999);
  });

  it('covers the true effect, limit and mean 95 times in 100', () => {
    const random = randomFrom(63);
    const TRIALS = 400;
    const inside = { d: 0, two: 0, limit: 0, repeated: 0 };
    for (let trial = 0; trial < TRIALS; trial++) {
      const x = draw(random, 10, 0.8);
      const [low, high] = value(standardisedMeanChange(x)).dCi95;
      if (low <= 0.8 && 0.8 <= high) inside.d++;
      const two = value(standardisedDifference(draw(random, 6), draw(random, 11, 0.5))).dCi95;
      if (two[0] <= 0.5 && 0.5 <= two[1]) inside.two++;
      const agreement = value(limitsOfAgreement(new Float64Array(8), draw(random, 8, 1, 2)));
      const exact = exactLimitIntervals(agreement).upperCi95;
      if (exact[0] <= 1 + 1.959964 * 2 && 1 + 1.959964 * 2 <= exact[1]) inside.limit++;
      // Unequal numbers; variances 1 between and 2.25 within.
      const subjects = Array.from({ length: 20 }, (_, i) => {
        const own = random.normal();
        return draw(random, 1 + (i % 4), 0.5 + own, 1.5);
      });
      const limit = 0.5 + 1.959964 * Math.sqrt(3.25);
      const repeated = value(repeatedLimits(subjects)).upperCi95;
      if (repeated[0] <= limit && limit <= repeated[1]) inside.repeated++;
    }
    within(inside.d / TRIALS, 0.95, TRIALS);
    within(inside.two / TRIALS, 0.95, TRIALS);
    within(inside.limit / TRIALS, 0.95, TRIALS);
    within(inside.repeated / TRIALS, 0.95, TRIALS);
  });

  it('has the plain limits of agreement when every subject gives one difference', () => {
    const x = draw(randomFrom(64), 30, 1, 3);
    const plain = value(limitsOfAgreement(new Float64Array(30), x));
    const repeated = value(repeatedLimits(x.map((one) => [one])));
    expect(repeated.bias).toBeCloseTo(plain.bias, 12);
    expect(repeated.limits[1]).toBeCloseTo(plain.limits[1], 12);
    // Zou's interval and the exact one answer the same question.
    expect(repeated.upperCi95[1]).toBeCloseTo(exactLimitIntervals(plain).upperCi95[1], 0);
  });

  it('keeps several scores of a face together: DeLong with one each, wider when the scores of a face go together', () => {
    const random = randomFrom(65);
    const single: ClusteredScore[] = draw(random, 40).map((score, subject) => ({
      subject,
      score: score + (subject % 2),
      positive: subject % 2 === 1,
    }));
    const delong = value(rocArea(single.filter((s) => s.positive).map((s) => s.score), single.filter((s) => !s.positive).map((s) => s.score))); // biome-ignore format: a line
    const clustered = value(clusteredRocArea(single));
    expect(clustered.area).toBeCloseTo(delong.area, 12);
    expect(clustered.u).toBeCloseTo(delong.u, 12);

    let stated = 0;
    const areas: number[] = [];
    const TRIALS = 600;
    for (let trial = 0; trial < TRIALS; trial++) {
      const scores = Array.from({ length: 30 }, (_, subject) => {
        const own = random.normal();
        const share = random.uniform();
        return Array.from({ length: 4 }, () => {
          const positive = random.uniform() < share;
          return { subject, positive, score: own + 0.5 * random.normal() + (positive ? 0.7 : 0) };
        });
      }).flat();
      const { area, u } = value(clusteredRocArea(scores));
      areas.push(area);
      stated += u * u;
    }
    const mean = areas.reduce((a, b) => a + b) / TRIALS;
    const seen = areas.reduce((total, a) => total + (a - mean) ** 2, 0) / (TRIALS - 1);
    // A variance over 600 draws is known to 6 %; the method's own bias with 30 subjects is of that size as well.
    expect(stated / TRIALS / seen).toBeGreaterThan(0.8);
    expect(stated / TRIALS / seen).toBeLessThan(1.25);
  });

  it('draws subjects anew with all they have, so that many pairs of one subject do not count as many subjects', () => {
    const random = randomFrom(66);
    const alike = Array.from({ length: 10 }, () => {
      const own = random.normal();
      return Array.from({ length: 20 }, () => own + 0.01 * random.normal());
    });
    const { mean, ci95 } = value(clusterBootstrapMean(alike, randomFrom(2)));
    const honest = value(oneSampleT(alike.map((own) => own.reduce((a, b) => a + b) / own.length)));
    expect(mean).toBeCloseTo(honest.mean, 12);
    expect((ci95[1] - ci95[0]) / (honest.ci95[1] - honest.ci95[0])).toBeGreaterThan(0.65); // percentile intervals of ten are short by a quarter
    expect((ci95[1] - ci95[0]) / (honest.ci95[1] - honest.ci95[0])).toBeLessThan(1.1);
  });

  it('passes to the limit of many subjects without a jump', () => {
    const x = draw(randomFrom(68), 1001, 0.06);
    const limit = value(signFlipTest(x, randomFrom(1)));
    const sampled = value(signFlipTest(x.slice(0, 1000), randomFrom(1)));
    expect([limit.method, sampled.method]).toEqual(['normal limit', 'sampled patterns']);
    expect(Math.abs(limit.p - sampled.p)).toBeLessThan(0.02);
    const clusters = (n: number) =>
      x.slice(0, 1).flatMap(() => Array.from({ length: n }, (_, i) => [x[i % 1000], x[(7 * i) % 1000]].slice(i % 2)));
    const [drawn, linear] = [2000, 2001].map((n) => value(clusterBootstrapMean(clusters(n), randomFrom(1))));
    expect(linear.draws).toBe(0);
    // The ends of 2000 draws are known to about a twentieth of the interval.
    expect((linear.ci95[1] - linear.ci95[0]) / (drawn.ci95[1] - drawn.ci95[0])).toBeCloseTo(1, 1);
  });

  it('recovers a planted difference of groups that the covariate hides', () => {
    const random = randomFrom(67);
    let inside = 0;
    const TRIALS = 400;
    for (let trial = 0; trial < TRIALS; trial++) {
      const rows = Array.from({ length: 30 }, (_, i) => {
        const group = i % 3 === 0 ? 'b' : 'a';
        const covariate = 3 * random.normal() + (group === 'b' ? 2 : 0);
        return { group, covariate, y: 2 * covariate - (group === 'b' ? 1.5 : 0) + random.normal() };
      }).toReversed();
      const { differences } = value(ancova(rows.toSorted((x, y) => x.group.localeCompare(y.group))));
      if (differences[0].ci95[0] <= -1.5 && -1.5 <= differences[0].ci95[1]) inside++;
    }
    within(inside / TRIALS, 0.95, TRIALS);
  });

  it('reaches the power it was asked for, and no more subjects than that', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.2, max: 3, noNaN: true }),
        fc.constantFrom(0.8, 0.9, 0.95),
        fc.constantFrom('paired' as const, 'two-groups' as const),
        (effect, power, design) => {
          const n = Math.ceil(value(subjectsNeeded(effect, 1, power, design)));
          expect(powerOfT(effect, 1, n, design)).toBeGreaterThanOrEqual(power - 1e-9);
          if (n > 2) expect(powerOfT(effect, 1, n - 1, design)).toBeLessThan(power);
        },
      ),
      { numRuns: 40 },
    );
    // With nothing but error a single change of the SDC is 1.96 of its standard deviations.
    expect(errorOfChangeFromSdc(1.959963984540054)).toBeCloseTo(1, 12);
  });

  it('turns the noncentral t round, far out as well', () => {
    for (const [t, freedom] of [
      [0.3, 4],
      [-7, 12],
      [62, 999],
      [150, 3],
    ]) {
      // biome-ignore format: a line
      const shift = noncentralTShift(0.025, t, freedom);
      expect(noncentralTShare(t, freedom, shift)).toBeCloseTo(0.025, 9);
    }
  });

  it('names the band of a reliability by its whole interval', () => {
    expect(reliabilityBand([0.4, 0.8])).toBe('poor to good');
    expect(reliabilityBand([0.91, 0.97])).toBe('excellent');
  });

  it('gives the SDC the interval of its SEM', () => {
    const { semCi95, sdcCi95, sem, sdc } = value(repeatability([[1, 2], [4, 3], [5, 7]])); // biome-ignore format: a line
    expect(sdcCi95[0] / semCi95[0]).toBeCloseTo(sdc / sem, 12);
    expect(sdcCi95[1] / semCi95[1]).toBeCloseTo(sdc / sem, 12);
  });

  it('never answers with a number that is none', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: -3, max: 3 }), { maxLength: 9 }),
        fc.array(fc.integer({ min: -3, max: 3 }), { maxLength: 9 }),
        (a, b) => {
          const answers: Outcome<unknown, string>[] = [
          oneSampleT(a), signedRank(a), signFlipTest(a, randomFrom(3)), standardisedMeanChange(a), standardisedDifference(a, b), shapiroWilk(a), welchDifference(a, b), welchAnova([a, b]), brownForsythe([a, b]),
          repeatedLimits([a, b, [1]]), rocArea(a, b), ancova([...a.map((y, i) => ({ group: 'a', covariate: i, y })), ...b.map((y, i) => ({ group: 'b', covariate: -i, y }))]),
        ]; // biome-ignore format: a list
          for (const answer of answers) if (answer.ok) expect(finite(answer.value)).toBe(true);
        },
      ),
    );
  });
});

describe('refusal', () => {
  const flat = [2, 2, 2];
  it.each([
    ['too-few', () => oneSampleT([1])],
    ['no-spread', () => oneSampleT(flat)],
    ['too-few', () => signedRank([0, 0])],
    ['too-few', () => signFlipTest([1], randomFrom(1))],
    ['too-few', () => standardisedMeanChange([1])],
    ['no-spread', () => standardisedMeanChange(flat)],
    ['too-few', () => standardisedDifference([1], flat)],
    ['no-spread', () => standardisedDifference(flat, flat)],
    ['too-few', () => shapiroWilk([1, 2])],
    ['no-spread', () => shapiroWilk(flat)],
    ['too-many', () => shapiroWilk(Float64Array.from({ length: 5001 }, (_, i) => i))],
    ['too-few', () => welchAnova([[1, 2], [3]])],
    ['no-spread', () => welchAnova([flat, [1, 2]])],
    ['no-spread', () => welchDifference(flat, flat)],
    ['no-spread', () => brownForsythe([[1, 1], [3, 3]])], // biome-ignore format: a line
    ['too-few', () => ancova([{ group: 'a', covariate: 1, y: 2 }])],
    ['degenerate', () => ancova(['a', 'a', 'a', 'b', 'b', 'b'].map((group, i) => ({ group, covariate: group === 'a' ? 1 : 2, y: i * i })))],
    ['too-few', () => clusterBootstrapMean([[1], [2]], randomFrom(1))],
    ['too-few', () => repeatedLimits([[1], [2]])],
    ['too-few', () => clusteredRocArea([{ subject: 1, score: 1, positive: true }])],
    ['no-change', () => subjectsNeeded(0, 1)],
    ['too-many', () => subjectsNeeded(1e-6, 1)],
  ])('%s', (why, ask) => {
    const answer: Outcome<unknown, string> = ask();
    expect(answer).toMatchObject({ ok: false, why });
    if (!answer.ok) expect(answer.detail).toMatch(/\.$/);
  });
  it('has no interval for an area without scatter', () => expect(areaInterval({ area: 1, u: 0 })).toBe(null));
});
