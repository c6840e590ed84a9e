/**
 * A face without photographs: the canonical surface in front of a camera, shaded by a nine-term light, with skin displaced by a
 * known amount. Used to test the displacement fit by itself; pictures are made by lib/phantom.
 */
import { fineSurface } from '#lib/align/fine-surface.ts';
import { surfaceMap } from '#lib/align/surface-map.ts';
import { canonicalMesh } from '#lib/face/canonical-mesh.ts';
import { zoneIndexOfPoint } from '#lib/face/zone-map.ts';
import { vertexNormals } from '#lib/geometry/mesh.ts';
import { rotationFromPose } from '#lib/geometry/rotation.ts';
import type { RelitPair } from '#lib/light/relight.ts';
import { randomFrom } from '#lib/stats/random.ts';
import { irradianceAndGradient } from '#tests/light/nine-term-light.ts';

/** 1 m away at a focal length of 5000 px. */
const MM_PER_PX = 0.2;

export type Painted = Readonly<{
  yawDeg?: number;
  lightBefore: readonly number[];
  lightAfter: readonly number[];
  /** mm along the normal at each fine vertex, given its head-frame place and zone. */
  displaced: (x: number, y: number, z: number, zone: number) => number;
  noise: number;
  seed: number;
}>;

export function paintedPair({ yawDeg = 0, lightBefore, lightAfter, displaced, noise, seed }: Painted): RelitPair {
  const rotation = rotationFromPose({ yaw: (yawDeg * Math.PI) / 180, pitch: 0, roll: 0 });
  const canonical = canonicalMesh().vertices;
  const verticesMm = new Float64Array(canonical.length);
  for (let i = 0; i < canonical.length; i += 3)
    for (let k = 0; k < 3; k++)
      verticesMm[i + k] =
        rotation[3 * k] * canonical[i] +
        rotation[3 * k + 1] * canonical[i + 1] +
        rotation[3 * k + 2] * canonical[i + 2] +
        (k === 2 ? 1000 : 0);
  const head = { rotation, translationMm: Float64Array.of(0, 0, 1000), focalPx: 5000, principalPx: [500, 600] as const, verticesMm };
  const surface = fineSurface(head as never);
  const moved = new Float64Array(surface.verticesMm);
  const normalsCamera = vertexNormals({ vertices: surface.verticesMm, triangles: surface.triangles });
  for (let i = 0; i < moved.length / 3; i++) {
    const d = displaced(
      surface.headMm[3 * i],
      surface.headMm[3 * i + 1],
      surface.headMm[3 * i + 2],
      zoneIndexOfPoint(surface.uv[2 * i], surface.uv[2 * i + 1]),
    );
    for (let k = 0; k < 3; k++) moved[3 * i + k] += d * normalsCamera[3 * i + k];
  }
  const after = vertexNormals({ vertices: moved, triangles: surface.triangles });
  for (let i = 0; i < after.length; i += 3) {
    after[i + 1] = -after[i + 1];
    after[i + 2] = -after[i + 2];
  }
  const stride = 8;
  const map = surfaceMap(surface, head as never, 1000, 1200, stride);
  const mapAfter = surfaceMap({ ...surface, normals: after }, head as never, 1000, 1200, stride);
  const kept: number[] = [];
  map.triangle.forEach((t, cell) => t >= 0 && map.normal[3 * cell + 2] > 0.25 && kept.push(cell));
  const pick = (source: ArrayLike<number>, dims: number) =>
    Float64Array.from({ length: kept.length * dims }, (_, k) => source[kept[Math.floor(k / dims)] * dims + (k % dims)]);
  const uv = pick(map.uv, 2);
  const random = randomFrom(seed);
  const shade = (light: readonly number[], normals: ArrayLike<number>) =>
    Float64Array.from({ length: kept.length * 3 }, (_, k) => {
      const n = 3 * kept[Math.floor(k / 3)];
      return k % 3
        ? 0
        : irradianceAndGradient(light, normals[n], normals[n + 1], normals[n + 2])[0] * 0.3 * Math.exp(noise * random.normal());
    }).map((_, k, all) => all[k - (k % 3)]);
  const before = shade(lightBefore, map.normal),
    afterRgb = shade(lightAfter, mapAfter.normal);
  const cells = {
    width: map.width,
    height: map.height,
    stride,
    count: kept.length,
    at: Int32Array.from(kept),
    before,
    after: afterRgb,
    normal: pick(map.normal, 3),
    headMm: pick(map.headMm, 3),
    uv,
    zone: Int8Array.from({ length: kept.length }, (_, k) => zoneIndexOfPoint(uv[2 * k], uv[2 * k + 1])),
    areaMm2: new Float64Array(kept.length).fill(2.56),
    coverage: new Float64Array(kept.length).fill(1),
    heightMm: map.depthMm.map((depth) => -depth),
    mmPerCell: stride * MM_PER_PX,
  };
  // Skin that moves by d along its normal moves by d (n_x, n_y) in the picture; y of the picture points down.
  const still = {
    width: map.width,
    height: map.height,
    stride,
    x: new Float32Array(map.width * map.height),
    y: new Float32Array(map.width * map.height),
  };
  const flow = { ...still, x: still.x.slice(), y: still.y.slice() };
  map.triangle.forEach((t, cell) => {
    if (t < 0) return;
    const zone = zoneIndexOfPoint(map.uv[2 * cell], map.uv[2 * cell + 1]);
    const d = displaced(map.headMm[3 * cell], map.headMm[3 * cell + 1], map.headMm[3 * cell + 2], zone);
    flow.x[cell] = (d * map.normal[3 * cell]) / MM_PER_PX;
    flow.y[cell] = (-d * map.normal[3 * cell + 1]) / MM_PER_PX;
  });
  const rigid = { rotation: Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1), translationMm: new Float64Array(3), residualPx: 0 };
  const aligned = { surface, before: { head }, after: { scale: { mmPerPx: MM_PER_PX } }, map, flow, rigidFlow: still, rigid };
  return { stage: 'relit', cells, relit: before, aligned } as never;
}
