import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CurveRows, fitCurve } from '#lib/stats/curve-fit.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { fitRecovery, type RecoveryData, type RecoveryFit, recoveryAt } from '#lib/stats/recovery-fit.ts';
import oracle from '#tests/oracles/nist-nonlinear.json' with { type: 'json' };

const DAYS = [3, 6, 10, 16, 24, 40];

/** Equal u, and a share of the variance that all observations have in common. */
function covarianceOf(us: readonly number[], shared: number): Float64Array {
  return Float64Array.from({ length: us.length ** 2 }, (_, at) => {
    const [i, j] = [Math.floor(at / us.length), at % us.length];
    return us[i]! * us[j]! * (i === j ? 1 : shared);
  });
}

const exact = (fit: { plateau: number; start: number; tauDays: number }, days: readonly number[] = DAYS, u = 0.1): RecoveryData => ({
  days,
  values: days.map((day) => recoveryAt(fit, day)),
  covariance: covarianceOf(
    days.map(() => u),
    0.5,
  ),
});

function fitted(data: RecoveryData): RecoveryFit {
  const fit = fitRecovery(data);
  if (!fit.ok) throw new Error(fit.detail);
  return fit.value;
}

const why = (data: RecoveryData) => {
  const fit = fitRecovery(data);
  return fit.ok ? 'found' : fit.why;
};

describe('law', () => {
  it('recovers a planted curve, whatever its size and time', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -2, max: 1, noNaN: true }),
        fc.double({ min: 1.5, max: 4, noNaN: true }),
        fc.double({ min: 4, max: 15, noNaN: true }),
        fc.boolean(),
        (plateau, drop, tauDays, down) => {
          const start = plateau + (down ? -drop : drop);
          const fit = fitted(exact({ plateau, start, tauDays }, DAYS, 0.02));
          expect(fit.plateau).toBeCloseTo(plateau, 7);
          expect(fit.start).toBeCloseTo(start, 6);
          expect(fit.tauDays / tauDays).toBeCloseTo(1, 6);
          expect(fit.plateauCi95[0]).toBeLessThan(plateau);
          expect(fit.plateauCi95[1]).toBeGreaterThan(plateau);
        },
      ),
      { numRuns: 60, seed: 4 },
    );
  });

  it('has the same answer in other units of value and of time', () => {
    const data = exact({ plateau: -0.4, start: -1.6, tauDays: 7 });
    const bumped = data.values.map((value, i) => value + 0.03 * Math.sin(5 * i));
    const a = fitted({ ...data, values: bumped });
    const b = fitted({ days: DAYS, values: bumped.map((v) => 1000 * v), covariance: covarianceOf(Array(6).fill(100), 0.5) });
    // A sum of squares is flat to the last digit within sqrt(epsilon) = 1.5e-8 standard uncertainties (0.1) of its least.
    expect(b.plateau / 1000).toBeCloseTo(a.plateau, 8);
    expect(b.plateauCi95[0] / 1000).toBeCloseTo(a.plateauCi95[0], 7);
    expect(b.tauDays).toBeCloseTo(a.tauDays, 6);
  });

  it('keeps the shared error whole: no number of follow-ups makes the plateau surer than it', () => {
    const many = Array.from({ length: 60 }, (_, i) => 2 + i);
    const fit = fitted(exact({ plateau: -0.4, start: -1.6, tauDays: 7 }, many));
    // Half of the variance 0.1^2 is common to all of them.
    expect(fit.uPlateau).toBeGreaterThan(Math.sqrt(0.5) * 0.1);
    expect(fit.uPlateau).toBeLessThan(0.1);
  });

  it('covers the true plateau as often as it says, among the curves it accepts', () => {
    const random = randomFrom(11);
    const truth = { plateau: -0.5, start: -2, tauDays: 6 };
    const u = 0.12;
    let accepted = 0;
    let covered = 0;
    for (let k = 0; k < 300; k++) {
      const common = random.normal() * Math.sqrt(0.5) * u;
      const values = DAYS.map((day) => recoveryAt(truth, day) + common + random.normal() * Math.sqrt(0.5) * u);
      const fit = fitRecovery({ days: DAYS, values, covariance: covarianceOf(Array(6).fill(u), 0.5) });
      if (!fit.ok) continue;
      accepted++;
      covered += Number(fit.value.plateauCi95[0] <= truth.plateau && truth.plateau <= fit.value.plateauCi95[1]);
    }
    expect(accepted).toBeGreaterThan(250);
    // 95 % less three standard errors of a share of 300.
    expect(covered / accepted).toBeGreaterThan(0.95 - 3 * Math.sqrt((0.95 * 0.05) / 300));
  });

  it('sees no curve in noise about a constant more often than one time in twenty', () => {
    const random = randomFrom(12);
    let found = 0;
    for (let k = 0; k < 400; k++) {
      const values = DAYS.map(() => -0.3 + random.normal() * 0.1);
      found += Number(fitRecovery({ days: DAYS, values, covariance: covarianceOf(Array(6).fill(0.1), 0) }).ok);
    }
    expect(found / 400).toBeLessThan(0.05);
  });

  it('widens, and never narrows, by a scatter that is larger than was said', () => {
    const data = exact({ plateau: -0.4, start: -1.6, tauDays: 7 }, DAYS, 0.02);
    const wild = fitted({ ...data, values: data.values.map((value, i) => value + (i % 2 ? 0.05 : -0.05)) });
    expect(wild.birge).toBeGreaterThan(1.5);
    expect(fitted(data).birge).toBe(1);
    expect(wild.uPlateau).toBeGreaterThan(1.5 * fitted(data).uPlateau);
  });

  it('with three follow-ups passes through them', () => {
    const data = exact({ plateau: -0.3, start: -2, tauDays: 5 }, [2, 7, 20], 0.05);
    const fit = fitted(data);
    expect(fit.freedom).toBe(0);
    expect(fit.chiSquare).toBeLessThan(1e-18);
    expect(fit.aiccGain).toBeNull();
    expect(data.days.map((day) => recoveryAt(fit, day))).toEqual(data.values.map((value) => expect.closeTo(value, 9)));
  });
});

describe('oracle: NIST StRD, nonlinear', () => {
  type Set = { starts: number[][]; certified: number[]; deviations: number[]; squares: number; rows: number[][] };
  const saturating =
    (rows: number[][]): CurveRows =>
    ([a, b]) => ({
      residuals: rows.map(([y, x]) => y! - a! * (1 - Math.exp(-b! * x!))),
      slopes: rows.flatMap(([, x]) => [1 - Math.exp(-b! * x!), a! * x! * Math.exp(-b! * x!)]),
    });
  const chwirut =
    (rows: number[][]): CurveRows =>
    ([a, b, c]) => {
      const at = rows.map(([, x]) => ({ x: x!, top: Math.exp(-a! * x!), bottom: b! + c! * x! }));
      return {
        residuals: rows.map(([y], i) => y! - at[i]!.top / at[i]!.bottom),
        slopes: at.flatMap(({ x, top, bottom }) => [(-x * top) / bottom, -top / bottom ** 2, (-x * top) / bottom ** 2]),
      };
    };

  it.each([
    ['Misra1a', oracle.misra1a, saturating],
    ['BoxBOD', oracle.boxbod, saturating],
    ['Chwirut2', oracle.chwirut2, chwirut],
  ] as [string, Set, (rows: number[][]) => CurveRows][])('%s from the certified starts, to nine digits', (name, set, model) => {
    // BoxBOD's first start is famous for leading straight steps to where the curve is flat: see "refusal".
    for (const start of name === 'BoxBOD' ? set.starts.slice(1) : set.starts) {
      const fit = fitCurve(model(set.rows), start);
      if (!fit.ok) throw new Error(fit.detail);
      const { parameters, covariance, squares } = fit.value;
      const n = parameters.length;
      const noise = squares / (set.rows.length - n);
      const seen = [...parameters, ...Array.from(parameters, (_, j) => Math.sqrt(noise * covariance[j * (n + 1)]!)), squares];
      const certified = [...set.certified, ...set.deviations, set.squares];
      // The last certified digit is the 11th; a deviation comes from second-order terms and holds about as many.
      expect(certified.filter((value, i) => !(Math.abs(seen[i]! / value - 1) < 2e-9))).toEqual([]);
    }
  });

  it('BoxBOD as a recovery: with what was oxygen at the start known to be none, the plateau is the certified one', () => {
    // A first observation of 0 just after day 0, all but exact, holds the start.
    const { rows, certified, deviation } = oracle.boxbod;
    const days = [1e-6, ...rows.map(([, x]) => x!)];
    const us = [1e-6, ...rows.map(() => deviation)];
    const fit = fitted({ days, values: [0, ...rows.map(([y]) => y!)], covariance: covarianceOf(us, 0) });
    expect(fit.plateau).toBeCloseTo(certified[0]!, 2);
    expect(1 / fit.tauDays).toBeCloseTo(certified[1]!, 4);
    expect(fit.uPlateau).toBeCloseTo(oracle.boxbod.deviations[0]!, 1);
  });
});

describe('refusal', () => {
  const data = exact({ plateau: -0.4, start: -1.6, tauDays: 7 });
  const equal = (n: number, u = 0.1) => covarianceOf(Array(n).fill(u), 0.5);

  it('too few follow-ups, also when several are of one day', () => {
    expect(why({ days: [4, 8], values: [-1, -0.5], covariance: equal(2) })).toBe('too-few');
    expect(why({ days: [4, 4, 8], values: [-1, -1, -0.5], covariance: equal(3) })).toBe('too-few');
  });

  it('no curve where nothing differs by more than error', () => {
    expect(why({ ...data, values: data.days.map((_, i) => -0.5 + 0.02 * (i % 2)) })).toBe('no-curve');
  });

  it('no plateau on a straight line', () => {
    expect(why({ ...data, values: data.days.map((day) => -2 + 0.03 * day) })).toBe('no-plateau');
  });

  it('no plateau that only the model could tell: an end further from all follow-ups than they lie from each other', () => {
    const seen = { days: [4, 16, 32, 60], values: [-1.26, -0.86, -0.43, -0.42] };
    const withU = (u: number): RecoveryData => ({ ...seen, covariance: covarianceOf(Array(4).fill(u), 0.3) });
    const sure = fitted(withU(0.1));
    expect(sure.plateauCi95[1]).toBeLessThan(-0.42 + 0.84);
    // A little more error, and a curve that rises for years fits nearly as well, though a straight line does not.
    const fit = fitRecovery(withU(0.17));
    expect(fit).toMatchObject({
      ok: false,
      why: 'no-plateau',
      detail: expect.stringMatching(/further from all follow-ups than they lie from each other/),
    });
  });

  it('a time constant outside what was observed', () => {
    expect(why(exact({ plateau: 3, start: -2, tauDays: 60 }, DAYS, 0.001))).toBe('tau-outside');
  });

  it('of a curve whose steps ended where its parameters mean nothing, rather than an answer from there', () => {
    const { rows, starts } = oracle.boxbod;
    const fit = fitCurve(
      ([a, b]) => ({
        residuals: rows.map(([y, x]) => y! - a! * (1 - Math.exp(-b! * x!))),
        slopes: rows.flatMap(([, x]) => [1 - Math.exp(-b! * x!), a! * x! * Math.exp(-b! * x!)]),
      }),
      starts[0]!,
    );
    expect(fit).toMatchObject({ ok: false, why: 'degenerate' });
  });

  it('throws at a programmer', () => {
    expect(() => fitRecovery({ ...data, days: [0, ...DAYS.slice(1)] })).toThrow(RangeError);
    expect(() => fitRecovery({ ...data, covariance: equal(5) })).toThrow(RangeError);
    expect(() => fitRecovery({ ...data, covariance: covarianceOf(Array(6).fill(0.1), 1) })).toThrow(RangeError);
  });
});
