/**
 * How surely a face wears spectacles: lines where bare skin has none.
 *
 * Frame   mm of eye-frame.ts.
 * Model   The bridge of a frame crosses the nose between the inner corners of the eyes, and its lower rims cross the cheeks below the lids. Each
 *         is worth the contrast of the weaker parts of the plainest line there (line-across.ts), as a difference of logarithms of light.
 *         Neither is proof alone: a frown creases the root of the nose, a smile draws lines below the lids. So the evidence is what all
 *         three share; or, in a turned face, half of what the bridge shares with one rim, since the nose may hide the other; or what the bridge shares
 *         with how much darker both eyes' surroundings are than the cheeks, beyond the shade of brows and make-up (dark lenses); or a
 *         quarter of the bridge alone (frames without lower rim).
 *         All of it is read by luminance and again by red alone, in which skin is smoothest and a wire as bright as skin still shows.
 * Limits  The weights were set on rendered faces and the photographs named in docs/checks.md. Lenses without a rim are often missed.
 */
import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import { mean } from '#lib/stats/sum.ts';
import { type EyeFrame, eyeFrame, type LightOf, type Place } from './eye-frame.ts';
import { BESIDE_LINE_MM, type LineAcross, lineAcross } from './line-across.ts';
import type { Face } from './types.ts';

export type Spectacles = Readonly<{
  /** Difference of logarithms of light, 0 or more; a frame beyond SPECTACLES_FROM. */
  evidence: number;
  /** Contrast of the line over the nose and of those below the subject's right and left eye. */
  bridge: number;
  rimRight: number;
  rimLeft: number;
  /** How much darker the surroundings of the eye are than the cheek below; the lighter of the two eyes. */
  darkLens: number;
  /** (n, 2) px along bridge and lower rims, CELL_MM apart, where a line is plain enough to be one. */
  linesPx: Float64Array;
}>;

/** Evidence beyond this, a line darker by a tenth, is a frame: see docs/checks.md for what bare and bespectacled faces reach. */
export const SPECTACLES_FROM = -Math.log(1 - 0.1);

/** Where a bridge may cross, mm from the line of the inner corners, and how far to each side of the root of the nose. */
const BRIDGE = { above: 11, below: 12, half: 8.5 } as const;
/** A frame stands before the nose: seen from the side it shifts by this times the sine of the turn, mm. */
const BRIDGE_STANDS_OUT_MM = 4;
/** Where a lower rim may run, mm below the lower lid, and which part of the eye's width it is followed over. */
const RIM = { from: 6, to: 28, ends: 0.15 } as const;
/** Behind the lens, and the cheek that is compared with it, mm below the lower lid. */
const LENS = { from: 1, to: 7 } as const;
const CHEEK = { from: 26, to: 32 } as const;
/** Brows, lashes and dark surroundings of the eyes darken by up to 1.5 (dim light), bright faces by up to 1. */
const DARK_ANYWAY = 1;
const ONE_RIM = 0.5;
const BRIDGE_ALONE = 0.25;

/** Root of the nose, and of each eye inner corner, outer corner, lower lid. */
const ROOT = 168;
const EYE_OF_RIGHT = [133, 33, 145] as const;
const EYE_OF_LEFT = [362, 263, 374] as const;

export function spectaclesOf(face: Seen): Spectacles {
  const byLight = readIn(face, luminanceFromLinearSrgb);
  const byRed = readIn(face, (red) => red);
  return byRed.evidence > byLight.evidence ? byRed : byLight;
}

function readIn(face: Seen, light: LightOf): Spectacles {
  const frame = eyeFrame(face, light);
  const bridge = bridgeOf(frame, (face.head.yawDeg.value * Math.PI) / 180);
  const right = rimOf(frame, EYE_OF_RIGHT);
  const left = rimOf(frame, EYE_OF_LEFT);
  const darkLens = Math.min(right.dark, left.dark);
  const evidence = Math.max(
    Math.min(bridge.contrast, right.contrast, left.contrast),
    face.view === 'frontal' ? 0 : ONE_RIM * Math.min(bridge.contrast, Math.max(right.contrast, left.contrast)),
    Math.min(bridge.contrast, darkLens - DARK_ANYWAY),
    BRIDGE_ALONE * bridge.contrast,
  );
  const plain = [bridge, right, left].filter(({ contrast }) => contrast > SPECTACLES_FROM);
  return {
    evidence,
    bridge: bridge.contrast,
    rimRight: right.contrast,
    rimLeft: left.contrast,
    darkLens,
    linesPx: Float64Array.from(plain.flatMap(({ line }) => line.flatMap((place) => frame.toPx(place)))),
  };
}

type Seen = Pick<Face, 'photo' | 'landmarks' | 'head' | 'view'>;
type Found = Readonly<{ contrast: number; line: readonly Place[] }>;

function lineIn(frame: EyeFrame, left: number, right: number, top: number, bottom: number): Found {
  const upper = top - BESIDE_LINE_MM;
  const patch = frame.patch(left, right, upper, bottom + BESIDE_LINE_MM);
  const { contrast, rows }: LineAcross = lineAcross(patch);
  return { contrast, line: Array.from(rows, (row, i): Place => [left + (i + 0.5) * patch.cellMm, upper + (row + 0.5) * patch.cellMm]) };
}

function bridgeOf(frame: EyeFrame, yaw: number): Found {
  const middle = frame.landmark(ROOT)[0] + BRIDGE_STANDS_OUT_MM * Math.sin(yaw);
  const level = (frame.landmark(EYE_OF_RIGHT[0])[1] + frame.landmark(EYE_OF_LEFT[0])[1]) / 2;
  // beside a turned nose the line goes over into the far rim, which may stand upright
  const half = BRIDGE.half * Math.max(0.3, Math.cos(1.5 * yaw));
  return lineIn(frame, middle - half, middle + half, level - BRIDGE.above, level + BRIDGE.below);
}

function rimOf(frame: EyeFrame, [inner, outer, lid]: readonly [number, number, number]): Found & Readonly<{ dark: number }> {
  const [a, b] = [frame.landmark(inner)[0], frame.landmark(outer)[0]].sort((p, q) => p - q);
  const [left, right] = [a + RIM.ends * (b - a), b - RIM.ends * (b - a)];
  const low = frame.landmark(lid)[1];
  const light = (part: Readonly<{ from: number; to: number }>): number =>
    mean(Array.from(frame.patch(left, right, low + part.from, low + part.to).data));
  return { ...lineIn(frame, left, right, low + RIM.from, low + RIM.to), dark: light(CHEEK) - light(LENS) };
}
