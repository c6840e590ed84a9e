import { describe, expect, it } from 'vitest';
import type { CameraGuess } from '#lib/face/camera-guess.ts';
import { expressionOf } from '#lib/face/expression.ts';
import { fitHead } from '#lib/face/head.ts';
import { projectPoint } from '#lib/face/pose-fit.ts';
import { seenShape } from '#lib/face/seen-shape.ts';
import type { Expression } from '#lib/face/types.ts';
import { FRONTAL_WITHIN_DEG, OBLIQUE_WITHIN_DEG, viewOf } from '#lib/face/view.ts';
import { rotationFromPose } from '#lib/geometry/rotation.ts';

const RAD = Math.PI / 180;
const NEAR = 0.0009;
const CAMERA: CameraGuess = { principalPx: [500, 600], focal: { px: 4 / NEAR, relU: 0.01 } };
const U = new Float64Array(478).fill(0.3);

type Move = (mm: Float64Array) => void;

/** The canonical face with irises half way between the eyes' corners, moved, in a pose. */
function expression(move: Move = () => {}, yaw = 0, pitch = 0, roll = 0): Expression {
  const mm = new Float64Array(478 * 3);
  mm.set(seenShape());
  const [right, left] = [
    [33, 133],
    [263, 362],
  ].map(([a, b]) => [0, 1, 2].map((c) => (mm[3 * a + c] + mm[3 * b + c]) / 2));
  for (let k = 0; k < 5; k++) {
    mm.set(right, 3 * (468 + k));
    mm.set(left, 3 * (473 + k));
  }
  move(mm);
  const fit = {
    rotation: rotationFromPose({ yaw: yaw * RAD, pitch: pitch * RAD, roll: roll * RAD }),
    pxPerMm: 4,
    originPx: [20, -30] as const,
    nearnessPerMm: NEAR,
  };
  const landmarks = new Float64Array(478 * 3);
  for (let i = 0; i < 478; i++) landmarks.set(projectPoint(fit, CAMERA.principalPx, mm[3 * i], mm[3 * i + 1], mm[3 * i + 2]), 3 * i);
  return expressionOf(landmarks, U, fitHead(landmarks, U, CAMERA));
}

const shift =
  (indices: readonly number[], axis: number, by: number): Move =>
  (mm) => {
    for (const i of indices) mm[3 * i + axis] += by;
  };
const UPPER = [13, 82, 312];
const MOUTH_WIDTH_MM = 49.8;

describe('law', () => {
  it('numbers hold when the head turns, nods and tilts', () => {
    const straight = expression();
    for (const [yaw, pitch, roll] of [
      [20, 0, 0],
      [-20, 6, 0],
      [0, -10, 25],
      [35, 5, -10],
    ]) {
      const turned = expression(undefined, yaw, pitch, roll);
      for (const key of ['eyeOpenLeft', 'eyeOpenRight', 'mouthOpen', 'mouthWidth', 'smile', 'browHeight'] as const)
        expect(Math.abs(turned[key].value - straight[key].value)).toBeLessThan(0.01);
      for (const axis of [0, 1]) expect(Math.abs(turned.gaze[axis].value - straight.gaze[axis].value)).toBeLessThan(0.01);
    }
  });

  it('a mouth opened by 5 mm reads that much more of its width, and nothing else moves', () => {
    const [rest, open] = [expression(), expression(shift(UPPER, 1, 5))];
    expect(open.mouthOpen.value - rest.mouthOpen.value).toBeCloseTo(5 / MOUTH_WIDTH_MM, 1);
    expect(open.eyeOpenLeft.value).toBeCloseTo(rest.eyeOpenLeft.value, 6);
  });

  it("each side is its own: shutting the subject's left eye leaves the right", () => {
    const [rest, shut] = [
      expression(),
      expression((mm) => {
        for (const [up, down] of [
          [387, 373],
          [386, 374],
          [385, 380],
        ])
          for (let c = 0; c < 3; c++) mm[3 * up + c] = mm[3 * down + c];
      }),
    ];
    expect(shut.eyeOpenLeft.value).toBeLessThan(0.02);
    expect(shut.eyeOpenRight.value).toBeCloseTo(rest.eyeOpenRight.value, 6);
  });

  it('lifted corners, a wider mouth, lifted brows and eyes to image right have the signs of the contract', () => {
    const rest = expression();
    expect(expression(shift([61, 291], 1, 3)).smile.value).toBeGreaterThan(rest.smile.value + 0.04);
    expect(
      expression((mm) => {
        mm[3 * 61] -= 4;
        mm[3 * 291] += 4;
      }).mouthWidth.value,
    ).toBeGreaterThan(rest.mouthWidth.value + 0.1);
    expect(
      expression(shift([70, 63, 105, 66, 107, 55, 65, 52, 53, 46, 300, 293, 334, 296, 336, 285, 295, 282, 283, 276], 1, 4)).browHeight
        .value,
    ).toBeGreaterThan(rest.browHeight.value + 0.05);
    const aside = expression(shift([468, 473], 0, 3));
    expect(aside.gaze[0].value).toBeGreaterThan(rest.gaze[0].value + 0.08);
    expect(expression(shift([468, 473], 1, -2)).gaze[1].value).toBeGreaterThan(rest.gaze[1].value + 0.05);
  });

  it('uncertainty grows with that of the landmarks', () => {
    expect(expression().mouthOpen.u).toBeGreaterThan(0.0005);
    expect(expression().mouthOpen.u).toBeLessThan(0.005);
  });

  it('a view is named by the cheek it shows', () => {
    expect(viewOf(0)).toBe('frontal');
    expect(viewOf(FRONTAL_WITHIN_DEG)).toBe('frontal');
    // the subject turns to the subject's left, and shows the right cheek
    expect(viewOf(FRONTAL_WITHIN_DEG + 1)).toBe('oblique-right');
    expect(viewOf(-30)).toBe('oblique-left');
    expect(viewOf(OBLIQUE_WITHIN_DEG + 1)).toBe('lateral-right');
    expect(viewOf(-80)).toBe('lateral-left');
  });
});
