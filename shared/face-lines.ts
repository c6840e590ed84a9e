/**
 * Lines that make a face recognisable in a drawing: runs of landmark indices, closed where the first comes again.
 *
 * Source  The contour lists of `@mediapipe/tasks-vision` 0.10.35 (Apache-2.0), chained end to end; the nose is ours.
 */
export const FACE_LINES = {
  oval: [
    10, 338, 297, 332, 284, 251, 389, 356, 454, 323, 361, 288, 397, 365, 379, 378, 400, 377, 152, 148, 176, 149, 150, 136, 172, 58, 132, 93,
    234, 127, 162, 21, 54, 103, 67, 109, 10,
  ],
  eyeLeft: [398, 384, 385, 386, 387, 388, 466, 263, 249, 390, 373, 374, 380, 381, 382, 362, 398],
  eyeRight: [173, 157, 158, 159, 160, 161, 246, 33, 7, 163, 144, 145, 153, 154, 155, 133, 173],
  browLeft: [276, 283, 282, 295, 285],
  browRight: [46, 53, 52, 65, 55],
  browTopLeft: [300, 293, 334, 296, 336],
  browTopRight: [70, 63, 105, 66, 107],
  lipsOuter: [409, 270, 269, 267, 0, 37, 39, 40, 185, 61, 146, 91, 181, 84, 17, 314, 405, 321, 375, 291, 409],
  lipsInner: [415, 310, 311, 312, 13, 82, 81, 80, 191, 78, 95, 88, 178, 87, 14, 317, 402, 318, 324, 308, 415],
  noseRidge: [168, 6, 197, 195, 5, 4],
  noseFoot: [129, 64, 98, 97, 2, 326, 327, 294, 358],
} as const satisfies Readonly<Record<string, readonly number[]>>;

/** Present only where all 478 landmarks are, not on the canonical mesh. */
export const IRIS_LINES = {
  irisLeft: [474, 475, 476, 477, 474],
  irisRight: [469, 470, 471, 472, 469],
} as const satisfies Readonly<Record<string, readonly number[]>>;
