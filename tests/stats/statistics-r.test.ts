import { describe, expect, it } from 'vitest';
import { ancova } from '#lib/stats/ancova.ts';
import { brownForsythe, welchAnova, welchDifference } from '#lib/stats/compare-groups.ts';
import { standardisedMeanChange } from '#lib/stats/effect-size.ts';
import { ICC_FORMS, iccForms } from '#lib/stats/icc-forms.ts';
import { intraclass } from '#lib/stats/intraclass.ts';
import { exactLimitIntervals } from '#lib/stats/limits-of-agreement.ts';
import { benjaminiHochberg, holm } from '#lib/stats/multiplicity.ts';
import { noncentralTQuantile, noncentralTShare } from '#lib/stats/noncentral-t.ts';
import { oneSampleT } from '#lib/stats/one-sample.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { areaInterval, bestCut, rocArea } from '#lib/stats/roc.ts';
import { powerOfT, subjectsNeeded } from '#lib/stats/sample-size.ts';
import { shapiroWilk } from '#lib/stats/shapiro-wilk.ts';
import { signFlipTest } from '#lib/stats/sign-flip.ts';
import { signedRank } from '#lib/stats/signed-rank.ts';
import { weightedKappa } from '#lib/stats/weighted-kappa.ts';
import type { Outcome } from '#shared/outcome.ts';
import r from '#tests/oracles/statistics-r.json' with { type: 'json' };

/** R prints fifteen digits; its own iterations (quantiles, power) stop at about 1e-8. */
const near = (digits: number, seen: ArrayLike<number>, wanted: ArrayLike<number | null>): void => {
  expect(seen.length).toBe(wanted.length);
  for (let i = 0; i < seen.length; i++) {
    const size = Math.max(1e-12, Math.abs(wanted[i]!));
    expect(Math.abs(seen[i] - wanted[i]!) / size, `entry ${i}: ${seen[i]} for ${wanted[i]}`).toBeLessThan(10 ** -digits);
  }
};
const value = <T>(outcome: Outcome<T, string>): T => {
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value;
};

describe(`oracle: ${r.r}, ${r.made}`, () => {
  it.each(Object.entries(r.icc))('psych::ICC gives the six forms of %s with intervals and probabilities', (_, one) => {
    const forms = iccForms(value(intraclass(one.ratings)));
    expect(forms.map(({ form }) => form)).toEqual([...ICC_FORMS]);
    expect(one.form).toEqual([...ICC_FORMS]);
    near(9, forms.map((form) => form.value), one.value); // biome-ignore format: a line each
    near(9, forms.map((form) => form.p), one.p); // biome-ignore format: a line each
    near(7, forms.map((form) => form.ci95[0]), one.low); // biome-ignore format: a line each
    near(7, forms.map((form) => form.ci95[1]), one.high); // biome-ignore format: a line each
  });

  it('pt has the noncentral t wherever its own series holds', () => {
    const { t, df, ncp, below } = r.noncentralT;
    // AS 243, which R uses, promises 1e-12 absolute; its left tail is set aside, as R itself warns.
    t.forEach((each, i) =>
      expect(Math.abs(noncentralTShare(each, df[i], ncp[i]) - below[i]), `${each} ${df[i]} ${ncp[i]}`).toBeLessThan(2e-11),
    );
    near(
      7,
      r.noncentralTQuantile.p.map((p, i) => noncentralTQuantile(p, r.noncentralTQuantile.df[i], r.noncentralTQuantile.ncp[i])),
      r.noncentralTQuantile.t,
    );
  });

  it('qt has the exact intervals of the limits of agreement of Bland & Altman 1986', () => {
    const { bias, sd, lower, upper, difference } = r.limits;
    const exact = exactLimitIntervals({ n: difference.length, bias, deviation: sd });
    near(8, exact.lowerCi95, lower);
    near(8, exact.upperCi95, upper);
  });

  it.each(Object.entries(r.oneSample))('t.test, wilcox.test, coin and counted signs for %s', (_, one) => {
    const t = value(oneSampleT(one.x));
    near(10, [t.mean, t.sd, t.t, t.freedom, t.p, ...t.ci95], [one.mean, one.sd, one.t, one.df, one.p, ...one.ci]);
    const exact = value(signedRank(one.x, 'exact'));
    expect(exact.rankSum).toBe(one.v);
    near(9, [exact.p], [one.pConditional]);
    if (one.pExact !== null) near(9, [exact.p], [one.pExact]);
    near(9, [value(signedRank(one.x, 'normal')).p, value(signedRank(one.x, 'normal', false)).p], [one.pNormal, one.pNormalPlain]);
    const effect = value(standardisedMeanChange(one.x));
    near(9, [effect.d, effect.hedges], [one.dz, one.hedges]);
    near(6, effect.dCi95, one.dzCi);
    const flip = value(signFlipTest(one.x, randomFrom(1)));
    if (one.signFlip !== null) {
      expect(flip.method).toBe('every pattern');
      near(12, [flip.p], [one.signFlip]);
    }
  });

  it.each(Object.entries(r.shapiro))('shapiro.test for %s', (_, one) => {
    const { w, p } = value(shapiroWilk(one.x));
    near(7, [w], [one.w]);
    near(5, [p], [one.p]);
  });

  it('oneway.test, t.test and car::leveneTest for six feeds of unequal size', () => {
    const { groups, welch, brownForsythe: bf, pair } = r.groups;
    const seen = value(welchAnova(groups));
    near(9, [seen.f, seen.top, seen.bottom, seen.p], [welch.f, welch.top, welch.bottom, welch.p]);
    const spread = value(brownForsythe(groups));
    near(9, [spread.f, spread.top, spread.bottom, spread.p], [bf.f, bf.top, bf.bottom, bf.p]);
    const two = value(welchDifference(pair.first, pair.second));
    near(9, [two.t, two.freedom, two.p, ...two.ci95], [pair.t, pair.df, pair.p, ...pair.ci]);
  });

  it('lm and anova for 11, 7 and 14 cars with their weight as covariate', () => {
    const { group, covariate, y, ...wanted } = r.ancova;
    // R takes groups in alphabetical order, here the order in which they are met.
    const rows = group.map((g, i) => ({ group: g, covariate: covariate[i], y: y[i] })).sort((a, b) => Number(a.group) - Number(b.group));
    const seen = value(ancova(rows));
    near(8, [seen.groups.f, seen.groups.top, seen.groups.bottom, seen.groups.p], [wanted.f, wanted.top, wanted.bottom, wanted.p]);
    near(8, [seen.slope, ...seen.adjusted.map((one) => one.mean)], [wanted.slope, ...wanted.adjusted]);
    near(8, seen.adjusted.map((one) => one.u), wanted.adjustedU); // biome-ignore format: a line each
    near(8, seen.differences.flatMap((one) => [one.value, ...one.ci95, one.p]), [0, 1].flatMap((i) => [wanted.difference[i], wanted.differenceLow[i], wanted.differenceHigh[i], wanted.differenceP[i]])); // biome-ignore format: a line each
    near(
      8,
      [seen.slopes!.f, seen.slopes!.top, seen.slopes!.bottom, seen.slopes!.p],
      [wanted.slopesF, wanted.slopesTop, wanted.slopesBottom, wanted.slopesP],
    );
    near(8, [value(shapiroWilk(seen.residuals)).w], [wanted.residualW]);
  });

  it.each(Object.entries(r.kappa))('vcd::Kappa and psych::cohen.kappa for %s', (_, one) => {
    for (const [weights, wanted] of [
      ['none', one.unweighted],
      ['linear', one.linear],
      ['quadratic', one.quadratic],
    ] as const) {
      const seen = value(weightedKappa(one.table, weights));
      near(9, [seen.value, seen.u], wanted);
    }
    near(9, [value(weightedKappa(one.table, 'quadratic')).value], [one.psychQuadratic]);
  });

  it.each(Object.entries(r.roc))('pROC gives area, DeLong variance, interval and best cut of %s', (_, one) => {
    const seen = value(rocArea(one.positive, one.negative));
    near(10, [seen.area, seen.u ** 2], [one.area, one.variance]);
    near(9, areaInterval(seen)!, one.ci);
    const cut = bestCut(one.positive, one.negative);
    near(12, [cut.sensitivity + cut.specificity], [one.sensitivity + one.specificity]);
  });

  it('power.t.test gives sample sizes and power, both tails counted', () => {
    const { delta, sd, power, paired, twoSample, powerOf12 } = r.sampleSize;
    // Its root is found to the fourth root of the machine's precision.
    delta.forEach((each, i) => {
      const n = value(subjectsNeeded(each, sd[i], power[i]));
      if (n > 2) near(4, [n], [paired[i]]);
      near(4, [value(subjectsNeeded(each, sd[i], power[i], 'two-groups'))], [twoSample[i]]);
      near(8, [powerOfT(each, sd[i], 12)], [powerOf12[i]]);
    });
  });

  it('p.adjust for the fifteen probabilities of Benjamini & Hochberg 1995, who reject four', () => {
    near(12, holm(r.adjust.p), r.adjust.holm);
    near(12, benjaminiHochberg(r.adjust.p), r.adjust.bh);
    expect(benjaminiHochberg(r.adjust.p).filter((p) => p <= 0.05)).toHaveLength(4);
    expect(holm(r.adjust.p).filter((p) => p <= 0.05)).toHaveLength(3);
  });
});
