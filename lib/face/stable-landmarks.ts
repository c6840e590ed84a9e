/**
 * The landmarks that carry the pose: forehead, nose, eye corners, temples.
 *
 * Lips, jaw, cheeks and brows are left out: they move with expression, or are where gel is placed and removed. The
 * temples are outline points that slide a little as the head turns, but without them the points used are nearly a flat
 * plate with a nose, and yaw and perspective are poorly told apart.
 * Source  registering on forehead and nose: Häner et al., Scientific Reports, as listed in docs/sources.md.
 */

const MIDLINE = [10, 151, 9, 8, 168, 6, 197, 195, 5, 4, 1, 19, 94, 2] as const;

/** Subject's right and left of the same place. */
const PAIRS = [
  // forehead
  [108, 337],
  [69, 299],
  [67, 297],
  [109, 338],
  [104, 333],
  [54, 284],
  [21, 251],
  [68, 298],
  // nose
  [122, 351],
  [196, 419],
  [3, 248],
  [51, 281],
  [45, 275],
  [44, 274],
  [236, 456],
  [198, 420],
  [131, 360],
  [49, 279],
  [129, 358],
  [48, 278],
  [115, 344],
  [220, 440],
  [218, 438],
  [98, 327],
  [97, 326],
  [64, 294],
  [240, 460],
  [99, 328],
  // eye corners
  [33, 263],
  [133, 362],
  [130, 359],
  [243, 463],
  // temples
  [127, 356],
  [162, 389],
  [143, 372],
] as const;

/** Indices of the landmarks that carry the pose. */
export const STABLE_LANDMARKS: readonly number[] = [...MIDLINE, ...PAIRS.flat()];
export const STABLE_PAIRS: readonly (readonly [number, number])[] = PAIRS;
