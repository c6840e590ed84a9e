/**
 * A synthetic portrait and the truth about it: one pure function from a specification to pixels.
 *
 * Frames   see types.ts. Same specification, same bytes.
 */

import { MESH_VERTEX_COUNT } from '#lib/face/types.ts';
import { displacementVolumeMl } from '#lib/geometry/volume.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { CLINIC_CAMERA, photograph } from './camera.ts';
import { volumesByZone } from './change.ts';
import { decalOf } from './decal.ts';
import { detailTile } from './detail.ts';
import { drawSpectacles } from './draw-spectacles.ts';
import { AT_REST } from './expression.ts';
import { EYE_CENTRE, IRIS_DIAMETER_MM, pupilOf } from './eyes.ts';
import { eyeSpacing, identityFrom } from './identity.ts';
import { drawLashes } from './lashes.ts';
import { CLINIC_LIGHT } from './light.ts';
import { type Scene, type SceneQuality, sceneOf } from './scene.ts';
import { shade } from './shade.ts';
import { melaninOf, reflectance } from './skin.ts';
import type { IdentitySpec, PhantomSpec, PhantomTruth, QualityName } from './types.ts';
import { drawTriangles, type Seen } from './z-buffer.ts';

const QUALITY: Readonly<Record<QualityName, SceneQuality & Readonly<{ samples: number }>>> = {
  draft: { levels: 2, lampRays: 6, ambientRays: 20, samples: 1 },
  standard: { levels: 3, lampRays: 12, ambientRays: 36, samples: 1.5 },
  fine: { levels: 3, lampRays: 20, ambientRays: 64, samples: 2 },
};

/** Middle of the picture in the head frame, mm: the face sits a little above it. */
const MIDDLE_Y = -8;

export type PhantomOptions = Partial<Omit<PhantomSpec, 'expression' | 'pose' | 'light' | 'camera'>> &
  Readonly<{
    expression?: Partial<PhantomSpec['expression']>;
    pose?: Partial<PhantomSpec['pose']>;
    light?: Partial<PhantomSpec['light']>;
    camera?: Partial<PhantomSpec['camera']>;
  }>;

/** A whole specification from the parts that matter: person 1, facing the clinic's camera at rest, without change. */
export function phantomSpec(options: PhantomOptions = {}): PhantomSpec {
  return {
    identity: options.identity ?? identityFrom(1),
    loss: options.loss ?? [],
    expression: { ...AT_REST, ...options.expression },
    pose: { yawDeg: 0, pitchDeg: 0, rollDeg: 0, shiftXMm: 0, shiftYMm: 0, ...options.pose },
    light: { ...CLINIC_LIGHT, ...options.light },
    camera: { ...CLINIC_CAMERA, ...options.camera },
    quality: options.quality ?? 'standard',
    ...(options.spectacles ? { spectacles: options.spectacles } : {}),
  };
}

/** Renders the portrait. About 1 s at `standard` quality and the camera's own size. Throws RangeError for impossible numbers. */
export function renderFace(spec: PhantomSpec): { raster: Srgb8Raster; truth: PhantomTruth } {
  const { camera, identity } = spec;
  const { samples, ...quality } = QUALITY[spec.quality];
  const scene = sceneOf(spec, quality);
  const width = Math.round(camera.widthPx * samples);
  const height = Math.round(camera.heightPx * samples);
  const focal = (camera.interpupillaryPx / (2 * EYE_CENTRE[0])) * camera.distanceMm;
  const centre = [width / 2, height / 2 + (MIDDLE_Y * camera.interpupillaryPx * samples) / (2 * EYE_CENTRE[0])] as const;
  const projected = new Float64Array(scene.vertices.length);
  for (let i = 0; i < projected.length; i += 3) {
    const [x, y, z] = [scene.vertices[i], scene.vertices[i + 1], scene.vertices[i + 2]];
    projected[i] = centre[0] + (focal * samples * x) / z;
    projected[i + 1] = centre[1] + (focal * samples * y) / z;
    projected[i + 2] = z;
  }
  const seen = drawTriangles(width, height, projected, scene.triangles);
  const radiance = shade({
    spec,
    scene,
    seen,
    decal: decalFor(identity),
    tile: detailTile(),
    focal: focal * samples,
    centre,
    gain: gainFor(identity),
  });
  const { lamps, ambient } = spec.light;
  const hairLight = 0.012 * gainFor(identity) * (ambient.above + lamps.reduce((sum, { power }) => sum + power, 0));
  const project = (point: readonly number[]): [number, number, number] => {
    const [x, y, z] = scene.toCamera(point);
    return [centre[0] + (focal * samples * x) / z, centre[1] + (focal * samples * y) / z, z];
  };
  const samplesPerMm = (camera.interpupillaryPx * samples) / (2 * EYE_CENTRE[0]);
  drawLashes({
    radiance,
    seen,
    head: scene.head,
    samplesPerMm,
    rgb: [hairLight * 1.2, hairLight, hairLight * 0.9],
    seed: identity.seed,
    project,
  });
  if (spec.spectacles)
    drawSpectacles({
      radiance,
      seen,
      head: scene.head,
      spectacles: spec.spectacles,
      light: spec.light,
      gain: gainFor(identity),
      samplesPerMm,
      project,
    });
  return { raster: photograph(radiance, width, height, camera), truth: truthOf(spec, scene, seen, projected, samples, focal) };
}

/** The photographer opens up for darker skin, though not all the way. */
function gainFor({ skin }: IdentitySpec): number {
  const [r, g, b] = reflectance(melaninOf(skin.tone), 1);
  return 0.95 * (0.42 / (0.2126 * r + 0.7152 * g + 0.0722 * b)) ** 0.36;
}

let lastDecal: { identity: string; decal: Float32Array } | null = null;

/** The drawing of the last person is kept: pairs and series show one person many times. */
function decalFor(identity: IdentitySpec): Float32Array {
  const key = JSON.stringify([identity.seed, identity.skin.freckles]);
  if (lastDecal?.identity !== key) lastDecal = { identity: key, decal: decalOf(identity) };
  return lastDecal.decal;
}

function truthOf(spec: PhantomSpec, scene: Scene, seen: Seen, projected: Float64Array, samples: number, focal: number): PhantomTruth {
  const landmarksPx = new Float64Array(2 * MESH_VERTEX_COUNT);
  const landmarkSeen = new Uint8Array(MESH_VERTEX_COUNT);
  for (let i = 0; i < MESH_VERTEX_COUNT; i++) {
    const [x, y, z] = [projected[3 * i], projected[3 * i + 1], projected[3 * i + 2]];
    landmarksPx[2 * i] = x / samples;
    landmarksPx[2 * i + 1] = y / samples;
    const at = Math.floor(y) * seen.width + Math.floor(x);
    const inside = x >= 0 && y >= 0 && x < seen.width && y < seen.height;
    landmarkSeen[i] = inside && z < seen.depth[at] + 2.5 ? 1 : 0;
  }
  const { gazeXDeg, gazeYDeg } = spec.expression;
  const pupils = ([-1, 1] as const).map((side) => scene.toCamera(pupilOf(side, eyeSpacing(spec.identity), gazeXDeg, gazeYDeg)));
  const zoneMl = volumesByZone(scene.displacementMm, scene.grid, scene.rest);
  return {
    zoneMl,
    totalMl: displacementVolumeMl({ vertices: scene.rest, triangles: scene.grid.triangles }, scene.displacementMm),
    displacementMm: scene.displacementMm,
    restVerticesMm: scene.rest,
    triangles: scene.grid.triangles,
    uv: scene.grid.uv,
    landmarksPx,
    landmarkSeen,
    pupilsPx: Float64Array.from(
      pupils.flatMap(([x, y, z]) => [
        spec.camera.widthPx / 2 + (focal * x) / z,
        seen.height / 2 / samples + (MIDDLE_Y * spec.camera.interpupillaryPx) / (2 * EYE_CENTRE[0]) + (focal * y) / z,
      ]),
    ),
    mmPerPx: (pupils[0][2] + pupils[1][2]) / 2 / focal,
    irisDiameterMm: IRIS_DIAMETER_MM,
  };
}
