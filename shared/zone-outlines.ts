/**
 * Where the zones lie: closed outlines whose points hang on landmarks, so they can be drawn on any mesh or face that
 * carries the 468 landmarks.
 *
 * Frame   An outline is a closed loop (first point not repeated). A point is a landmark, or a place on the straight line
 *         between two. Edges are straight in the uv square of the canonical mesh; neighbours share their border points,
 *         so zones never overlap. Eyes, lids to 4 mm beneath the lashes, brows, nostrils and the mouth's opening lie outside every zone.
 * Source  Placement is ours, by surface anatomy: fold and rim lines were read off the canonical mesh in mm.
 *         The right side is written; the left is its mirror image.
 */
import { MIRROR_LANDMARK } from './mirror-landmark.ts';
import type { ZoneId } from './zones.ts';

/** A landmark index, or the place a + t * (b - a) between two landmarks, 0 < t < 1. */
export type OutlinePoint = number | Readonly<{ a: number; b: number; t: number }>;
export type Outline = readonly OutlinePoint[];

const between = (a: number, b: number, t: number): OutlinePoint => ({ a, b, t });

// Border points that more than one zone uses, named by place.
const nasion = between(193, 168, 0.2);
const browHead = between(107, 9, 0.3);
const browMiddle = between(9, 151, 0.15);
const browTail = between(63, 68, 0.3);
const canthusLow = between(128, 121, 0.3);
const rimMedial = between(47, 114, 0.25);
const rimLateral = between(117, 31, 0.1);
const noseCheek = between(126, 100, 0.4);
const alarCrease = between(129, 36, 0.12);
const foldOutside = [between(36, 129, 0.5), between(203, 36, 0.5), between(206, 205, 0.5), between(216, 207, 0.5)] as const;
const foldFoot = between(216, 214, 0.4);
const foldInside = [between(203, 98, 0.5), between(203, 165, 0.4), between(206, 92, 0.5), between(216, 186, 0.6)] as const;
const foldFootInside = between(186, 57, 0.3);
const philtrumTop = between(97, 167, 0.4);
const cornerTop = between(186, 185, 0.35);
const cornerSide = between(57, 212, 0.35);
const cornerLow = between(43, 57, 0.4);
const cornerFoot = between(43, 146, 0.45);
const cheekboneLow = between(123, 147, 0.35);
const hollowTop = between(50, 187, 0.55);
const jowl = between(210, 169, 0.7);
const jawFront = between(150, 169, 0.2);
const chinSide = between(140, 171, 0.35);
const chinFoot = between(176, 171, 0.35);

/** Outlines of the subject's right side. */
const RIGHT = {
  temple: [
    103,
    54,
    21,
    162,
    between(127, 234, 0.4),
    between(34, 227, 0.5),
    between(143, 116, 0.45),
    35,
    156,
    between(70, 71, 0.2),
    browTail,
    68,
  ],
  infraorbital: [
    canthusLow,
    between(232, 26, 0.35),
    between(231, 22, 0.5),
    between(230, 23, 0.6),
    between(229, 24, 0.5),
    between(228, 110, 0.4),
    between(31, 25, 0.15),
    rimLateral,
    118,
    119,
    120,
    rimMedial,
  ],
  midface: [
    rimMedial,
    120,
    119,
    118,
    rimLateral,
    between(116, 117, 0.4),
    123,
    cheekboneLow,
    hollowTop,
    205,
    foldOutside[2],
    foldOutside[1],
    foldOutside[0],
    between(142, 209, 0.2),
    noseCheek,
  ],
  submalar: [205, hollowTop, cheekboneLow, 147, 213, 192, between(214, 192, 0.2), foldFoot, foldOutside[3], foldOutside[2]],
  nasolabial: [alarCrease, ...foldOutside, foldFoot, foldFootInside, ...foldInside.toReversed()],
  'upper-lip': [
    philtrumTop,
    167,
    37,
    39,
    40,
    185,
    cornerTop,
    foldFootInside,
    ...foldInside.slice(0, 4).toReversed(),
    between(98, 165, 0.3),
  ],
  commissure: [61, 185, cornerTop, foldFootInside, cornerSide, cornerLow, cornerFoot, 146],
  marionette: [cornerLow, cornerSide, 212, 210, jowl, 211, between(202, 204, 0.5)],
  prejowl: [211, jowl, 169, jawFront, between(149, 170, 0.2), chinFoot, chinSide, 32],
  jawline: [jowl, 135, 138, 215, between(58, 215, 0.25), between(172, 138, 0.2), between(136, 135, 0.2), jawFront, 169],
} as const satisfies Record<string, Outline>;

/** Right halves of the zones on the midline, from its upper end on the midline to its lower; vermilion zones follow below. */
const MIDLINE = {
  forehead: [10, 109, 67, 103, 68, browTail, between(105, 104, 0.14), between(66, 69, 0.14), between(107, 108, 0.12), browHead, browMiddle],
  glabella: [browMiddle, browHead, between(55, 8, 0.25), nasion, 168],
  'nasal-dorsum': [168, nasion, 122, 188, 174, 236, 134, 51, 5],
  'nasal-tip': [5, 51, 134, 131, 115, between(218, 237, 0.3), between(237, 44, 0.3), between(44, 125, 0.4), 19],
  philtrum: [between(2, 164, 0.3), philtrumTop, 167, 37, 0],
  chin: [between(18, 17, 0.3), between(83, 84, 0.3), 182, 194, 32, chinSide, chinFoot, between(148, 171, 0.35), between(152, 175, 0.35)],
} as const satisfies Record<string, Outline>;

const UPPER_OUTER = [61, 185, 40, 39, 37, 0];
const UPPER_INNER = [78, 191, 80, 81, 82, 13];
const LOWER_OUTER = [61, 146, 91, 181, 84, 17];
const LOWER_INNER = [78, 95, 88, 178, 87, 14];

/** The same point on the other side of the face. */
export function mirrorPoint(point: OutlinePoint): OutlinePoint {
  if (typeof point === 'number') return MIRROR_LANDMARK[point];
  return { a: MIRROR_LANDMARK[point.a], b: MIRROR_LANDMARK[point.b], t: point.t };
}

const mirrored = (points: Outline): Outline => points.map(mirrorPoint);

/** A midline half closed with its mirror image: its first and last points lie on the midline, or are a vertex of it. */
function whole(half: Outline): Outline {
  return [...half, ...mirrored(half.slice(1, -1)).toReversed()];
}

/** A lip: outer border from the right corner to the left, back along the inner border. */
function lip(outer: Outline, inner: Outline): Outline {
  const across = (row: Outline): Outline => [...row, ...mirrored(row.slice(0, -1)).toReversed()];
  return [...across(outer), ...across(inner).toReversed()];
}

const pair = <Stem extends keyof typeof RIGHT>(stem: Stem): Record<`${Stem}-right` | `${Stem}-left`, Outline> =>
  ({ [`${stem}-right`]: RIGHT[stem], [`${stem}-left`]: mirrored(RIGHT[stem]) }) as Record<`${Stem}-right` | `${Stem}-left`, Outline>;

/** The outline of every zone. */
export const ZONE_OUTLINES: Readonly<Record<ZoneId, Outline>> = {
  forehead: whole(MIDLINE.forehead),
  glabella: whole(MIDLINE.glabella),
  ...pair('temple'),
  ...pair('infraorbital'),
  ...pair('midface'),
  ...pair('submalar'),
  'nasal-dorsum': whole(MIDLINE['nasal-dorsum']),
  'nasal-tip': whole(MIDLINE['nasal-tip']),
  ...pair('nasolabial'),
  ...pair('upper-lip'),
  philtrum: whole(MIDLINE.philtrum),
  'vermilion-upper': lip(UPPER_OUTER, UPPER_INNER),
  'vermilion-lower': lip(LOWER_OUTER, LOWER_INNER),
  ...pair('commissure'),
  ...pair('marionette'),
  ...pair('prejowl'),
  chin: whole(MIDLINE.chin),
  ...pair('jawline'),
};

/**
 * An outline as coordinates: `positions` is (n, stride) with at least 468 rows in landmark order (uv, px or mm).
 * Returns (outline.length, dims), the first `dims` coordinates of each point. Throws when a landmark is missing.
 */
export function placeOutline(outline: Outline, positions: ArrayLike<number>, stride: number, dims: number = stride): Float64Array {
  const placed = new Float64Array(outline.length * dims);
  outline.forEach((point, i) => {
    const { a, b, t } = typeof point === 'number' ? { a: point, b: point, t: 0 } : point;
    if ((Math.max(a, b) + 1) * stride > positions.length)
      throw new RangeError(`placeOutline: positions must hold landmark ${Math.max(a, b)} with stride ${stride}`);
    for (let k = 0; k < dims; k++) placed[i * dims + k] = positions[a * stride + k] * (1 - t) + positions[b * stride + k] * t;
  });
  return placed;
}
