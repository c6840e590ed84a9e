/** A check's name, number and limits in words. What was found and what to do about it stand in the check itself. */
import type { Check, CheckId, View } from '#shared/comparison.ts';

const LABELS: Readonly<Record<CheckId, string>> = {
  'face-size': 'Size of the face',
  focus: 'Focus',
  clipping: 'Over- or underexposure',
  noise: 'Camera noise',
  yaw: 'Turn to a side',
  pitch: 'Chin up or down',
  roll: 'Tilt',
  'eyes-open': 'Eyes open',
  'mouth-closed': 'Mouth closed',
  smile: 'Smile',
  gaze: 'Gaze',
  'face-in-frame': 'Face in the frame',
  evenness: 'Evenness of light',
  'colour-data': 'Colour',
  spectacles: 'Spectacles',
  'view-match': 'Same view',
  'yaw-difference': 'Difference of turn',
  'pitch-difference': 'Difference of chin height',
  'roll-difference': 'Difference of tilt',
  perspective: 'Difference of distance',
  'scale-difference': 'Difference of scale',
  'mouth-difference': 'Difference at the mouth',
  'eyes-difference': 'Difference at the eyes',
  'brow-difference': 'Difference at the brows',
  'smile-difference': 'Difference of smile',
  'light-difference': 'Difference of light',
  registration: 'Alignment',
  'same-face': 'Same face',
};

export const checkLabel = (id: CheckId): string => LABELS[id];

const VIEW_WORDS: Readonly<Record<View, string>> = {
  frontal: 'Frontal',
  'oblique-left': 'Oblique, left cheek',
  'oblique-right': 'Oblique, right cheek',
  'lateral-left': 'Lateral, left',
  'lateral-right': 'Lateral, right',
};
export const viewLabel = (view: View): string => VIEW_WORDS[view];

/** "8.2 deg; at most 5 deg, and 15 deg to compare at all". Empty when there is no number. */
export function checkNumbers(check: Pick<Check, 'value' | 'unit' | 'limit'>): string {
  if (check.value === null) return '';
  const { caution, refuse, sense } = check.limit;
  const word = sense === 'at-most' ? 'at most' : 'at least';
  const limits: string[] = [];
  if (caution !== null) limits.push(`good is ${word} ${withUnit(caution, check.unit)}`);
  if (refuse !== null) limits.push(`usable is ${word} ${withUnit(refuse, check.unit)}`);
  return [withUnit(check.value, check.unit), ...limits].join('; ');
}

/** A number as short as its size allows, with its unit. */
export function withUnit(value: number, unit: string): string {
  const shown = shortNumber(value);
  if (unit === '' || unit === '1') return shown;
  if (unit === 'deg') return `${shown}\u00b0`;
  if (unit === '%') return `${shown} %`;
  return `${shown} ${unit}`;
}

export function shortNumber(value: number): string {
  const size = Math.abs(value);
  const digits = size >= 100 ? 0 : size >= 10 ? 1 : size >= 0.1 || size === 0 ? 2 : 3;
  return value.toFixed(digits).replace(/\.0+$/, '').replace('-', '\u2212');
}
