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
  shiftsPerSample: 80,
  /**
   * What the fit recovers of a change on the tuning cases is 0.87 once the scale is right, on rendered faces and on painted photographs
   * alike: the prior and the misfit take the rest. The field and its errors are multiplied by the inverse.
   */
  gain: 1.15,
  /** How far that differs from face to face, relative: skin that is darker where it turns away shades more strongly than the lamps say. */
  gainRelU: 0.2,
  /** Mean depth that shading can't resolve in zones narrower than the field's bumps allow, mm: from one view, and with others beside it. */
  narrowDepthMm: 0.4,
  narrowDepthSeveralViewsMm: 0.2,
  /** Degrees of freedom of the noise's tails. */
  tail: 4,
  rounds: 4,
};

export type DisplacementParameters = Readonly<typeof DISPLACEMENT_PARAMETERS>;
