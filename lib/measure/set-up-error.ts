/**
 * What two photographs of an unchanged face differ by, beyond what one pair can tell of itself.
 *
 * Every figure is a standard deviation of the difference, added in quadrature to the pair's own. They stand in until a set-up
 * has repeats of its own.
 * Source  the validation's tuning cases without change but with all nuisance (20 frontal pairs, 5 of three views; docs/validation.md):
 *         the least figure with which (value - rest) / sqrt(uNull^2 + figure^2), over all zones, has a standard deviation of at most
 *         0.95. Where its tails are heavier than a normal's (volume, lightness: lips and folds that moved), the figure is larger, so
 *         that the largest of a comparison stays under the 3.3 at which Holm's correction over all zones calls a change.
 */
import type { MetricId } from '#shared/comparison.ts';

export const SET_UP_ERROR: Readonly<Record<MetricId, number>> = {
  volumeMl: 0.04,
  depthMeanMm: 0.05,
  depthPeakMm: 0.19,
  lightnessDelta: 0.3,
  colourDelta: 0.2,
  rednessDelta: 0.1,
  bluenessDelta: 0.1,
  shadowAreaMm2: 3,
  shadowDepthDelta: 0.36,
  contourMm: 0.7,
  /** Of the logarithm. */
  textureFineRatio: 0.13,
  textureCoarseRatio: 0.08,
  highlightDelta: 0.015,
};

/** The same for a pattern that several zones share, as mean depth over them, mm: on those cases z then has a standard deviation of 0.95. */
export const PATTERN_ERROR_MM = 0.04;
