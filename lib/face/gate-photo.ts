/**
 * The gate for one photograph.
 *
 * Limits  "Refuse" is kept for what would make every number of the photograph wrong; "caution" says that some will be worse. What only
 *         matters between two photographs, such as an open mouth, is refused by the pair's gate (gate-pair.ts), never here.
 */
import type { Check } from '#shared/comparison.ts';
import { sideRatio } from './evenness.ts';
import { FACE_OVAL } from './features.ts';
import { atLeast, atMost, type CheckSpec, degrees, judged, percent, sized } from './gate-check.ts';
import { pupilDistance } from './pupil-distance.ts';
import { SHARPEST_SIGMA_PX } from './quality.ts';
import { SPECTACLES_FROM, spectaclesOf } from './spectacles.ts';
import type { Face } from './types.ts';
import { OBLIQUE_WITHIN_DEG, USUAL_YAW_DEG } from './view.ts';

type Sighted = Omit<Face, 'checks'>;
type Part = Omit<CheckSpec, 'of' | 'view'>;

/** Lids of resting faces stand 0.25 to 0.37 of the eye's width apart (28 portraits); below 0.1 the iris cannot be measured. */
const EYES_OPEN = atLeast(0.18, null);
/** The engine reads closed lips as 0 to 0.01 (28 portraits); 0.05 is a gap of 2.5 mm. */
const MOUTH_CLOSED = atMost(0.05, null);
/** Corners of resting mouths lie 0 to 7 % of the mouth's width below its middle (28 portraits), of a talking and smiling man 5 to 15 % above. */
const SMILE = atMost(0.07, null);
/** 0.1 of the eye's width is 3 mm of iris, about 16 degrees; landmarks around the eye move with it. */
const GAZE = atMost(0.1, null);
/** Resting gaze into the camera reads this, x and y: the iris stands above the line of the corners. Mean of 28 portraits. */
const GAZE_AT_REST = [0, -0.065] as const;

export function checkFace(face: Sighted): Check[] {
  return [
    faceSize(face),
    focus(face),
    clipping(face),
    noise(face),
    yaw(face),
    pitch(face),
    roll(face),
    eyesOpen(face),
    mouthClosed(face),
    smile(face),
    gaze(face),
    faceInFrame(face),
    evenness(face),
    colourData(face),
    spectacles(face),
  ].map((part) => judged({ ...part, of: 'photo', view: face.view }));
}

function faceSize({ scale }: Sighted): Part {
  const value = 1 / scale.mmPerPx;
  return {
    id: 'face-size',
    value,
    unit: 'px/mm',
    // 2.5 px per mm still shows 1 mm lines; 1.2 is about 75 px between the pupils, where zones are a few dozen px wide.
    bounds: atLeast(2.5, 1.2),
    message: `The face is shown at ${sized(value, 'px')} per mm.`,
    advice:
      'Use the original file from the camera, or photograph nearer or with a longer lens so that the face fills two thirds of the height. Fine texture cannot be measured at this size.',
  };
}

function focus({ quality, scale }: Sighted): Part {
  const value = (SHARPEST_SIGMA_PX / Math.max(1e-6, quality.sharpness)) * scale.mmPerPx;
  return {
    id: 'focus',
    value,
    unit: 'mm',
    // Fine lines are 0.3 to 1 mm. Beyond 1 mm of blur the borders of lips and lids, which align the pair, are lost as well.
    bounds: atMost(0.35, 1),
    message: `The sharpest edges of the face are blurred by ${sized(value, 'mm')}.`,
    advice:
      'Focus on the eyes, use more light or a shorter exposure, and switch smoothing filters off. Fine texture cannot be measured in this photograph.',
  };
}

function clipping({ quality: { clippedHigh, clippedLow } }: Sighted): Part {
  const value = Math.max(clippedHigh, clippedLow);
  const end = clippedHigh >= clippedLow ? 'burnt out to white' : 'lost in black';
  return {
    id: 'clipping',
    value: 100 * value,
    unit: '%',
    // Lost pixels carry no shading. A per cent is the size of the highlights on nose and forehead; a tenth of the face is a cheek.
    bounds: atMost(1, 10),
    message: value === 0 ? 'No skin is burnt out or lost in black.' : `${percent(value)} of the skin is ${end}.`,
    advice:
      clippedHigh >= clippedLow
        ? 'Expose a little less, soften the light or powder shiny skin. The burnt-out parts are left out of the measurement.'
        : 'Expose a little more or brighten the shadows with a reflector. The black parts are left out of the measurement.',
  };
}

function noise({ quality }: Sighted): Part {
  return {
    id: 'noise',
    value: 100 * quality.noise,
    unit: '%',
    // A clinic's photograph has 0.5 to 1.5 %. A loss of 0.3 mL shades skin by about 2 %, averaged over thousands of px: 4 % costs texture, 12 % costs all.
    bounds: atMost(4, 12),
    message: `Camera noise is ${(100 * quality.noise).toFixed(1)} % of the skin's brightness.`,
    advice: 'Use more light and a lower ISO setting, and the original file rather than a copy sent by a messenger.',
  };
}

function yaw({ head, view }: Sighted): Part {
  const turned = `The head is turned ${degrees(head.yawDeg.value)} to the subject's ${head.yawDeg.value > 0 ? 'left' : 'right'}`;
  if (view.startsWith('lateral'))
    return {
      id: 'yaw',
      value: Math.abs(head.yawDeg.value),
      unit: 'deg',
      // On rendered profiles landmarks lie 12 % of the pupil distance off, 8 mm: a zone would be measured beside itself.
      bounds: atMost(null, OBLIQUE_WITHIN_DEG),
      message: `${turned} or more, which is a profile.`,
      advice:
        'Profiles cannot be measured: landmarks are not reliable there. Use a frontal view and oblique views, in which both eyes are seen.',
    };
  return {
    id: 'yaw',
    value: Math.abs(head.yawDeg.value - USUAL_YAW_DEG[view]),
    unit: 'deg',
    // Within a view any turn can be measured, as long as the other photograph has the same: the pair's gate refuses, not this one.
    bounds: atMost(view === 'frontal' ? 8 : 16, null),
    message: view === 'frontal' ? `${turned}.` : `${turned}; an oblique view usually reads about ${Math.abs(USUAL_YAW_DEG[view])}°.`,
    advice:
      view === 'frontal'
        ? 'Ask the subject to face the camera squarely, with both ears equally visible.'
        : 'Ask the subject to turn half way to the side; a mark on the wall helps to repeat it.',
  };
}

function pitch({ head }: Sighted): Part {
  const value = head.pitchDeg.value;
  return {
    id: 'pitch',
    value: Math.abs(value),
    unit: 'deg',
    // The zero differs by a few degrees between people's faces, so single photographs are judged loosely.
    bounds: atMost(15, 30),
    message: `The chin is ${degrees(value)} ${value >= 0 ? 'up' : 'down'}.`,
    advice: 'Have the subject look straight ahead with the line from ear to lower lid level, and hold the camera at eye height.',
  };
}

function roll({ head }: Sighted): Part {
  const value = head.rollDeg.value;
  return {
    id: 'roll',
    value: Math.abs(value),
    unit: 'deg',
    // A tilted picture is simply turned back; a head tilted by more than 45 degrees lies on its side, and soft tissue hangs otherwise.
    bounds: atMost(15, 45),
    message: `The head is tilted ${degrees(value)} ${value >= 0 ? 'clockwise' : 'anticlockwise'} in the picture.`,
    advice: 'Hold the camera level and ask the subject to keep the head upright.',
  };
}

function eyesOpen({ expression: { eyeOpenLeft, eyeOpenRight }, view }: Sighted): Part {
  // In a turned view the far eye is foreshortened and counts less than the near one.
  const value = view.endsWith('left')
    ? eyeOpenLeft.value
    : view.endsWith('right')
      ? eyeOpenRight.value
      : Math.min(eyeOpenLeft.value, eyeOpenRight.value);
  return {
    id: 'eyes-open',
    value,
    unit: '1',
    bounds: EYES_OPEN,
    message: `The lids stand apart by ${percent(value)} of the eye's width.`,
    advice: 'Ask for open, relaxed eyes and retake: half-shut lids change the skin below them and hide the iris, which gives the scale.',
  };
}

function mouthClosed({ expression: { mouthOpen } }: Sighted): Part {
  return {
    id: 'mouth-closed',
    value: mouthOpen.value,
    unit: '1',
    bounds: MOUTH_CLOSED,
    message: `The mouth is open by ${percent(mouthOpen.value)} of its width.`,
    advice: 'Ask for lips gently together, teeth apart, and retake.',
  };
}

function smile({ expression }: Sighted): Part {
  const value = expression.smile.value;
  return {
    id: 'smile',
    value,
    unit: '1',
    bounds: SMILE,
    message: `The corners of the mouth stand ${percent(Math.abs(value))} of its width ${value >= 0 ? 'above' : 'below'} its middle.`,
    advice: 'Ask for a neutral face: a smile lifts the cheeks and deepens the folds beside the nose.',
  };
}

function gaze({
  expression: {
    gaze: [x, y],
  },
  view,
}: Sighted): Part {
  // Only a frontal view asks for a look into the camera; in turned views the eyes usually go with the head.
  const value = view === 'frontal' ? Math.hypot(x.value - GAZE_AT_REST[0], y.value - GAZE_AT_REST[1]) : null;
  return {
    id: 'gaze',
    value,
    unit: '1',
    bounds: GAZE,
    message: value === null ? 'Gaze is not judged in a turned view.' : `The eyes look aside by ${percent(value)} of the eye's width.`,
    advice: 'Ask the subject to look into the lens: the skin around the eyes moves with the gaze.',
  };
}

function faceInFrame({ landmarks, photo: { original, placement } }: Sighted): Part {
  let least = Infinity;
  for (const i of FACE_OVAL) {
    const x = (landmarks[3 * i] + placement.offsetX) / placement.scale;
    const y = (landmarks[3 * i + 1] + placement.offsetY) / placement.scale;
    least = Math.min(least, x, y, original.width - x, original.height - y);
  }
  const value = (least * placement.scale) / pupilDistance(landmarks);
  return {
    id: 'face-in-frame',
    value,
    unit: 'pupil distance',
    // The outline ends at the hairline and the chin; a tenth more shows the border itself. What is really outside was refused before.
    bounds: atLeast(0.1, null),
    message:
      value < 0
        ? 'The outline of the face is cut by the edge of the picture.'
        : `The face keeps ${sized(value, 'pupil distances')} from the edge of the picture.`,
    advice: 'Leave some room around the face, from above the hairline to below the chin.',
  };
}

function evenness(face: Sighted): Part {
  const value = sideRatio(face);
  return {
    id: 'evenness',
    value,
    unit: '1',
    // Two to one is the classical portrait light. Beyond five to one the dark half has lost its shading to noise.
    bounds: atMost(2, 5),
    message:
      value === null
        ? 'Evenness of the light is not judged in a turned view.'
        : `One half of the face is ${value.toFixed(2)} times as bright as the other.`,
    advice: 'Light the face evenly from both sides, or from the camera.',
  };
}

function colourData({ quality, photo }: Sighted): Part {
  return {
    id: 'colour-data',
    value: quality.greyscale ? 0 : 1,
    unit: '1',
    bounds: atLeast(null, 1),
    message: quality.greyscale
      ? 'The photograph is black and white.'
      : `The photograph is in colour${photo.facts.colourProfile === null ? ' and carries no colour profile, so sRGB is assumed' : ` (${photo.facts.colourProfile})`}.`,
    advice: 'Use the colour original: redness, blueness and the separation of shadow from pigment need colour.',
  };
}

function spectacles(face: Sighted): Part {
  const value = spectaclesOf(face).evidence;
  const worn = value > SPECTACLES_FROM;
  return {
    id: 'spectacles',
    // the share by which a darker line is darker
    value: 100 * (1 - Math.exp(-value)),
    unit: '%',
    // The other zones can be measured all the same, so this refuses only those behind and beside the frame (lib/compare/behind-spectacles.ts).
    bounds: atMost(10, null),
    message: worn
      ? 'The face seems to wear spectacles: lines as of a frame cross the nose and the cheeks.'
      : 'No frame of spectacles is seen.',
    advice:
      'Take spectacles off and retake. Lenses bend and dim what is behind them and frames cast shadows, so the zones behind and beside them are not judged.',
  };
}
