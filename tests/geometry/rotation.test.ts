import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { angleBetween, FACING, multiply3, poseFromRotation, rotationFromPose, rotationFromVector } from '#lib/geometry/rotation.ts';

const angle = (limit: number) => fc.double({ min: -limit, max: limit, noNaN: true });
const column = (r: ArrayLike<number>, k: number) => [r[k], r[3 + k], r[6 + k]];

describe('law', () => {
  it('a pose comes back from its rotation', () => {
    fc.assert(
      fc.property(angle(3.1), angle(1.5), angle(3.1), (yaw, pitch, roll) => {
        const back = poseFromRotation(rotationFromPose({ yaw, pitch, roll }));
        expect(back.yaw).toBeCloseTo(yaw, 9);
        expect(back.pitch).toBeCloseTo(pitch, 9);
        expect(back.roll).toBeCloseTo(roll, 9);
      }),
    );
  });

  it('every rotation is orthonormal and keeps handedness', () => {
    fc.assert(
      fc.property(angle(3), angle(3), angle(3), (x, y, z) => {
        for (const r of [rotationFromVector(x, y, z), rotationFromPose({ yaw: x, pitch: y, roll: z })]) {
          const transpose = [r[0], r[3], r[6], r[1], r[4], r[7], r[2], r[5], r[8]];
          multiply3(r, transpose).forEach((v, i) => {
            expect(v).toBeCloseTo(i % 4 === 0 ? 1 : 0, 12);
          });
          const det = r[0] * (r[4] * r[8] - r[5] * r[7]) - r[1] * (r[3] * r[8] - r[5] * r[6]) + r[2] * (r[3] * r[7] - r[4] * r[6]);
          expect(det).toBeCloseTo(1, 12);
        }
      }),
    );
  });

  it('straight ahead is FACING, and the signs are those of the conventions', () => {
    rotationFromPose({ yaw: 0, pitch: 0, roll: 0 }).forEach((v, i) => {
      expect(v).toBeCloseTo(FACING[i], 15);
    });
    const toTheSubjectsLeft = column(rotationFromPose({ yaw: 0.3, pitch: 0, roll: 0 }), 2);
    expect(toTheSubjectsLeft[0]).toBeGreaterThan(0.29); // the nose points to image right
    const chinUp = column(rotationFromPose({ yaw: 0, pitch: 0.3, roll: 0 }), 2);
    expect(chinUp[1]).toBeLessThan(-0.29); // the nose points up, which is -y
    const clockwise = column(rotationFromPose({ yaw: 0, pitch: 0, roll: 0.3 }), 1);
    expect(clockwise[0]).toBeGreaterThan(0.29); // the crown leans to image right
  });

  it('turning the picture in its plane changes roll alone', () => {
    const turned = multiply3(
      [Math.cos(0.5), -Math.sin(0.5), 0, Math.sin(0.5), Math.cos(0.5), 0, 0, 0, 1],
      rotationFromPose({ yaw: 0.9, pitch: 0.2, roll: -0.1 }),
    );
    const pose = poseFromRotation(turned);
    expect(pose.yaw).toBeCloseTo(0.9, 12);
    expect(pose.pitch).toBeCloseTo(0.2, 12);
    expect(pose.roll).toBeCloseTo(0.4, 12);
  });

  it('a rotation vector turns by its own length', () => {
    fc.assert(
      fc.property(angle(1.5), angle(1.5), angle(1.5), (x, y, z) => {
        const identity = [1, 0, 0, 0, 1, 0, 0, 0, 1];
        expect(angleBetween(identity, rotationFromVector(x, y, z))).toBeCloseTo(Math.hypot(x, y, z), 5);
      }),
    );
    // the series near zero meets the closed form
    const near = rotationFromVector(0.99e-4, 0, 0);
    expect(near[7]).toBeCloseTo(Math.sin(0.99e-4), 16);
  });
});
