/**
 * What two photographs of an unchanged face differ by, beyond what one pair can tell of itself.
 *
 * Every figure is a standard deviation of the difference, added in quadrature to the pair's own. They come from the validation's
 * tuning cases without change (docs/validation.md says how) and stand in until a set-up has repeats of its own.
 */
import type { MetricId } from '#shared/comparison.ts';

export const SET_UP_ERROR: Readonly<Record<MetricId, number>> = {
  volumeMl: 0.05,
  depthMeanMm: 0.05,
  depthPeakMm: 0.1,
  lightnessDelta: 0.3,
  colourDelta: 0.3,
  rednessDelta: 0.25,
  bluenessDelta: 0.25,
  shadowAreaMm2: 4,
  shadowDepthDelta: 0.5,
  contourMm: 0.3,
  /** Of the logarithm. */
  textureFineRatio: 0.12,
  textureCoarseRatio: 0.1,
  highlightDelta: 0.01,
};
