/**
 * The gate for two photographs of one view: can they be compared at all?
 *
 * Limits  Light that turned by 8 degrees and a head that turned by 4 are what a careful practice still shows; they are measured
 *         with a note at most. Refused is what would put a change of the face and a change of the picture on the
 *         same footing.
 */
import type { Check } from '#shared/comparison.ts';
import { atMost, type CheckSpec, degrees, judged, percent, sized } from './gate-check.ts';
import { lightTurn } from './light-turn.ts';
import { type PairGeometry, pairGeometry } from './pair-geometry.ts';
import { nearnessDifference } from './perspective.ts';
import type { Face } from './types.ts';

type Part = Omit<CheckSpec, 'of' | 'view'>;

/** Turned by 4 degrees a cheek at 45 degrees foreshortens by 7 %; by 10 degrees by 20 %, and parts of it come and go behind the outline. */
const TURN = atMost(4, 10);
/** Turning in the plane of the picture is undone exactly; what stays is the pull of gravity on a head held otherwise. */
const TILT = atMost(10, 30);
/**
 * At 0.3 per m (1.0 m against 1.4 m) the outline of the cheek, 50 mm behind the eyes and 77 mm aside, moves by 1.2 mm against
 * them, as much as a contour change worth reporting.
 */
const PERSPECTIVE = atMost(0.12, 0.3);
/** Detail that only one photograph shows cannot be compared; at three times the scale even zones differ in what they hold. */
const SCALE = atMost(1.3, 3);
/** The mouth's gap: 5 % of its width is 2.5 mm, which pulls at the skin around it; 15 % is speech. */
const MOUTH = atMost(0.05, 0.15);
/** The lids' gap: resting people repeat within 3 % of the eye's width; 15 % is half-shut. */
const EYES = atMost(0.06, 0.15);
/** Brows: 3 % of the pupil distance is 2 mm; at 7 % the forehead is wrinkled, and it is a reference zone. */
const BROW = atMost(0.03, 0.07);
/** Mouth corners up or mouth wider; a plain smile is 0.15 and more, and swells the cheeks by millilitres. */
const SMILE = atMost(0.06, 0.15);
/** Degrees of light turn as light-turn.ts reads them. */
const LIGHT = atMost(10, 30);
/**
 * Misfit after rigid motion, % of the pupil distance. One person: 0.2 to 1.1 at rest, up to 1.9 talking; of 753 pairs of strangers half lie
 * above 1.3. Faces alone cannot prove identity, so only what no pair of one person showed is refused.
 */
const SAME_FACE = atMost(1.2, 2.5);

export function judgePair(before: Face, after: Face): Check[] {
  const geometry = pairGeometry(before, after);
  return [
    viewMatch(before, after),
    turn('yaw-difference', 'yawDeg', before, after),
    turn('pitch-difference', 'pitchDeg', before, after),
    tilt(before, after),
    perspective(before, after, geometry),
    scaleDifference(before, after),
    mouth(before, after),
    eyes(before, after),
    brow(before, after),
    smile(before, after),
    light(before, after),
    sameFace(geometry),
  ].map((part) => judged({ ...part, of: 'pair', view: before.view }));
}

function viewMatch(before: Face, after: Face): Part {
  const same = before.view === after.view;
  return {
    id: 'view-match',
    value: same ? 0 : 1,
    unit: '1',
    bounds: atMost(null, 0),
    message: same
      ? `Both photographs are ${before.view.replace('-', ' ')} views.`
      : `The before photograph is a ${before.view.replace('-', ' ')} view and the after photograph a ${after.view.replace('-', ' ')} view.`,
    advice: 'Compare photographs of the same view.',
  };
}

const TURN_WORDS = {
  'yaw-difference': {
    way: ["to the subject's left", "to the subject's right"],
    aim: 'Retake with the head turned as in the before photograph; a mark on the wall for the nose to point at helps.',
  },
  'pitch-difference': { way: ['chin up', 'chin down'], aim: 'Retake with the chin as in the before photograph, the camera at eye height.' },
} as const;

function turn(id: 'yaw-difference' | 'pitch-difference', angle: 'yawDeg' | 'pitchDeg', before: Face, after: Face): Part {
  const { way, aim } = TURN_WORDS[id];
  const [a, b] = [before.head[angle].value, after.head[angle].value];
  const says = (v: number): string => `${degrees(v)} ${v >= 0 ? way[0] : way[1]}`;
  return {
    id,
    value: Math.abs(b - a),
    unit: 'deg',
    bounds: TURN,
    message: `The head is ${says(a)} in the before photograph and ${says(b)} in the after: ${degrees(b - a)} apart.`,
    advice: aim,
  };
}

function tilt(before: Face, after: Face): Part {
  const [a, b] = [before.head.rollDeg.value, after.head.rollDeg.value];
  const difference = Math.abs(((b - a + 540) % 360) - 180);
  return {
    id: 'roll-difference',
    value: difference,
    unit: 'deg',
    bounds: TILT,
    message: `The head is tilted ${degrees(difference)} more in one photograph than in the other; the pictures are turned to match.`,
    advice: 'Hold the head upright and the camera level in both.',
  };
}

function perspective(before: Face, after: Face, geometry: PairGeometry): Part {
  const difference = nearnessDifference(before, after, geometry);
  const nearer = difference.value > 0 ? 'after' : 'before';
  return {
    id: 'perspective',
    value: Math.abs(difference.value),
    unit: '1/m',
    bounds: PERSPECTIVE,
    message: `The camera ${Math.abs(difference.value) <= (PERSPECTIVE.caution ?? 0) ? 'stood at about the same distance' : `stood nearer for the ${nearer} photograph`}: the difference of perspective is ${sized(Math.abs(difference.value), 'per m')}, ± ${sized(difference.u, 'per m')}.`,
    advice:
      'A near camera makes the nose larger and the cheeks and ears narrower. Retake from the same distance, best 1 m or more, with the same lens; do not zoom with the feet.',
  };
}

function scaleDifference(before: Face, after: Face): Part {
  const ratio = before.scale.mmPerPx / after.scale.mmPerPx;
  const value = Math.max(ratio, 1 / ratio);
  return {
    id: 'scale-difference',
    value,
    unit: '1',
    bounds: SCALE,
    message: `The face is shown at ${sized(1 / before.scale.mmPerPx, 'px')} per mm before and ${sized(1 / after.scale.mmPerPx, 'px')} per mm after.`,
    advice: 'Use original files of about equal size. Fine texture is compared only as far as the smaller one shows it.',
  };
}

function mouth({ expression: a }: Face, { expression: b }: Face): Part {
  return {
    id: 'mouth-difference',
    value: Math.abs(b.mouthOpen.value - a.mouthOpen.value),
    unit: '1',
    bounds: MOUTH,
    message: `The mouth is open by ${percent(b.mouthOpen.value)} of its width in the after photograph and ${percent(a.mouthOpen.value)} in the before.`,
    advice: 'Ask for lips gently together and retake.',
  };
}

function eyes({ expression: a, view }: Face, { expression: b }: Face): Part {
  const left = Math.abs(b.eyeOpenLeft.value - a.eyeOpenLeft.value);
  const right = Math.abs(b.eyeOpenRight.value - a.eyeOpenRight.value);
  // The far eye of a turned face is guessed more than seen.
  const value = view.endsWith('left') ? left : view.endsWith('right') ? right : Math.max(left, right);
  return {
    id: 'eyes-difference',
    value,
    unit: '1',
    bounds: EYES,
    message: `The opening of the lids differs by ${percent(value)} of the eye's width.`,
    advice: 'Ask for open, relaxed eyes in both photographs: the skin below the eye moves with the lid.',
  };
}

function brow({ expression: a }: Face, { expression: b }: Face): Part {
  const difference = b.browHeight.value - a.browHeight.value;
  return {
    id: 'brow-difference',
    value: Math.abs(difference),
    unit: '1',
    bounds: BROW,
    message: `The brows stand ${percent(Math.abs(difference))} of the pupil distance ${difference >= 0 ? 'higher' : 'lower'} in the after photograph.`,
    advice: 'Ask for a relaxed forehead and retake.',
  };
}

function smile({ expression: a }: Face, { expression: b }: Face): Part {
  const corners = b.smile.value - a.smile.value;
  const width = b.mouthWidth.value - a.mouthWidth.value;
  return {
    id: 'smile-difference',
    value: Math.hypot(corners, width),
    unit: '1',
    bounds: SMILE,
    message: `The corners of the mouth moved by ${percent(Math.abs(corners))} of its width and the mouth is ${percent(Math.abs(width))} of the pupil distance ${width >= 0 ? 'wider' : 'narrower'} in the after photograph.`,
    advice: 'Ask for a neutral face in both: a smile moves volume into the cheeks.',
  };
}

function light(before: Face, after: Face): Part {
  const { turnDeg, rightDeg, aboveDeg } = lightTurn(before, after);
  const way =
    Math.abs(rightDeg) > Math.abs(aboveDeg)
      ? rightDeg > 0
        ? 'the right of the picture'
        : 'the left of the picture'
      : aboveDeg > 0
        ? 'above'
        : 'below';
  return {
    id: 'light-difference',
    value: turnDeg,
    unit: 'deg',
    bounds: LIGHT,
    message: `The light of the after photograph comes more from ${way}, as if a single lamp had turned by about ${turnDeg.toFixed(0)}°.`,
    advice:
      'Retake with the lamps, the window and the subject where they were. A turned light shades the face as a change of volume would.',
  };
}

function sameFace({ misfit }: PairGeometry): Part {
  return {
    id: 'same-face',
    value: 100 * misfit,
    unit: '% of the pupil distance',
    bounds: SAME_FACE,
    message: `After pose and distance are taken out, forehead, eyes and nose of the two photographs differ by ${(100 * misfit).toFixed(1)} % of the pupil distance.`,
    advice: 'This may not be the same person, or one photograph is distorted. Check the files.',
  };
}
