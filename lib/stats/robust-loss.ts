/**
 * How much a residual counts: the losses of robust fits, as functions of a residual over its scale.
 *
 * Source  Huber, Annals of Mathematical Statistics 35(1):73-101, 1964, doi:10.1214/aoms/1177703732, k = 1.345;
 *         Beaton & Tukey, Technometrics 16(2):147-185, 1974, doi:10.1080/00401706.1974.10489171, c = 4.685.
 *         Both constants keep 95 % of the efficiency of least squares under normal noise
 *         (Holland & Welsch, Communications in Statistics A6(9):813-827, 1977, doi:10.1080/03610927708827533).
 */
export type RobustLoss = Readonly<{
  name: 'squares' | 'huber' | 'tukey';
  /** psi(t) / t: 1 in the middle, less towards the tails. */
  weight: (t: number) => number;
  /** The derivative of psi. */
  slope: (t: number) => number;
}>;

/** Plain least squares: every residual counts in full. */
export const SQUARES: RobustLoss = { name: 'squares', weight: () => 1, slope: () => 1 };

/** Outliers pull with a bounded force; one answer whatever the start. */
export function huber(k = 1.345): RobustLoss {
  return { name: 'huber', weight: (t) => (Math.abs(t) <= k ? 1 : k / Math.abs(t)), slope: (t) => (Math.abs(t) <= k ? 1 : 0) };
}

/** Outliers beyond `c` pull not at all. Fits start from least squares, so outliers that agree with each other, a third of all or more, can win. */
export function tukey(c = 4.685): RobustLoss {
  const inside = (t: number) => 1 - (t / c) ** 2;
  return {
    name: 'tukey',
    weight: (t) => (Math.abs(t) < c ? inside(t) ** 2 : 0),
    slope: (t) => (Math.abs(t) < c ? inside(t) * (1 - 5 * (t / c) ** 2) : 0),
  };
}
