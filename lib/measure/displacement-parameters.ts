/** Everything that can be set in the displacement fit; recorded in each Comparison. Tuned on the tuning cases of docs/validation.md. */
export const DISPLACEMENT_PARAMETERS = {
  spacingMm: 7,
  sigmaMm: 6,
  /** Standard deviation of one bump that the fit starts from, mm; neighbours overlap, so the field's own is about 1.5 times that. */
  priorMm: 0.35,
  /** The same on reference zones, where it stays: the fit holds them near rest. */
  referencePriorMm: 0.06,
  /** Each zone's own standard deviation is drawn to this, mm, as if by so many bumps that were seen before. */
  zonePriorMm: 0.1,
  zonePriorWeight: 4,
  /** Swells under the bumps, and where their standard deviation starts, mm; each zone's own is drawn to the third. */
  swellSpacingMm: 14,
  swellSigmaMm: 12,
  swellPriorMm: 0.3,
  zoneSwellMm: 0.1,
  zoneSwellWeight: 1,
  /** Standard deviation of one bump where nothing changed, mm: what a pattern is tested against. */
  restMm: 0.05,
  misfitSpacingMm: 15,
  misfitSigmaMm: 12,
  /** Where the misfit's standard deviation starts, natural log units, and the least it may become. */
  misfitStart: 0.01,
  misfitLeast: 0.002,
  noiseLeast: 0.003,
  /** Prior standard deviation of a change of one lamp's power, in powers that make a mean irradiance of one. */
  lampChange: 0.15,
  ambientChange: 1,
  /** Of the slow terms over the picture (fall-off, vignetting), natural log units. */
  slowChange: 0.08,
  slowCurve: 0.05,
  /** One cell in so many enters; their noise is far below the misfit, so the others would add time and no information. */
  thinning: 3,
  /** Cells repeat each other: one in so many of all cells counts as an independent sample. */
  cellsPerSample: 8,
  expressionSpacingMm: 30,
  expressionSigmaMm: 24,
  /** Where the standard deviation of expression starts, mm, and the least it may become. */
  expressionStart: 0.3,
  expressionLeast: 0.05,
  /** Prior standard deviation of each rigid term, mm at the rim of the face. */
  rigidChangeMm: 2,
  shiftNoiseLeastMm: 0.03,
  /** Places of the shift repeat each other, and err together by more than their scatter shows: one in so many counts. */
  shiftsPerSample: 40,
  /**
   * What the fit recovers of a change of 0.3 to 2 mL on the tuning cases is about 0.8, more of what is bound to a zone and less of what runs out
   * smoothly or is very deep; the priors, the misfit and the registration take the rest. The field and its errors are multiplied by the inverse.
   */
  gain: 1.25,
  /** How far that differs from case to case, relative: with the shape of the change, and with skin that shades more strongly than the lamps say. */
  gainRelU: 0.25,
  /** Mean depth that shading can't resolve in zones narrower than the field's bumps allow, mm: from one view, and with others beside it. */
  narrowDepthMm: 0.4,
  narrowDepthSeveralViewsMm: 0.3,
  /** Degrees of freedom of the noise's tails. */
  tail: 4,
  rounds: 3,
};

export type DisplacementParameters = Readonly<typeof DISPLACEMENT_PARAMETERS>;
