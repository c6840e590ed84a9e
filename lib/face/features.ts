/**
 * Loops of landmarks around the features that are not skin, in the published order of the face-mesh topology.
 * Source: the public connection lists of the face-landmark graph (Apache-2.0).
 */
export const EYE_RIGHT = [33, 7, 163, 144, 145, 153, 154, 155, 133, 173, 157, 158, 159, 160, 161, 246] as const;
export const EYE_LEFT = [263, 249, 390, 373, 374, 380, 381, 382, 362, 398, 384, 385, 386, 387, 388, 466] as const;
export const BROW_RIGHT = [70, 63, 105, 66, 107, 55, 65, 52, 53, 46] as const;
export const BROW_LEFT = [300, 293, 334, 296, 336, 285, 295, 282, 283, 276] as const;
export const LIPS_OUTER = [61, 146, 91, 181, 84, 17, 314, 405, 321, 375, 291, 409, 270, 269, 267, 0, 37, 39, 40, 185] as const;
export const LIPS_INNER = [78, 95, 88, 178, 87, 14, 317, 402, 318, 324, 308, 415, 310, 311, 312, 13, 82, 81, 80, 191] as const;
/** Around each nostril: wing, base, columella. */
export const NOSTRIL_RIGHT = [98, 97, 99, 60, 75, 240] as const;
export const NOSTRIL_LEFT = [327, 326, 328, 290, 305, 460] as const;
export const IRIS_RIGHT = [468, 469, 470, 471, 472] as const;
export const IRIS_LEFT = [473, 474, 475, 476, 477] as const;
/** The outline of the face, clockwise on screen from the top of the forehead. */
export const FACE_OVAL = [
  10, 338, 297, 332, 284, 251, 389, 356, 454, 323, 361, 288, 397, 365, 379, 378, 400, 377, 152, 148, 176, 149, 150, 136, 172, 58, 132, 93,
  234, 127, 162, 21, 54, 103, 67, 109,
] as const;
