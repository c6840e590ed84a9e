/** Parts of a face as a Comparison keeps them. */
import type { Face } from '#lib/face/types.ts';
import type { Comparison, Quantity } from '#shared/comparison.ts';
import { quantityOf, tidy } from './findings.ts';

export { tidy };

export function poseOf({ head }: Face): { yawDeg: Quantity; pitchDeg: Quantity; rollDeg: Quantity } {
  return {
    yawDeg: quantityOf(head.yawDeg.value, head.yawDeg.u),
    pitchDeg: quantityOf(head.pitchDeg.value, head.pitchDeg.u),
    rollDeg: quantityOf(head.rollDeg.value, head.rollDeg.u),
  };
}

export function inputOf(face: Face, role: 'before' | 'after'): Comparison['inputs'][number] {
  return {
    role,
    view: face.view,
    name: face.photo.name,
    sha256: face.photo.sha256,
    facts: face.photo.facts,
    pose: poseOf(face),
    interpupillaryPx: tidy(face.quality.interpupillaryPx),
  };
}
