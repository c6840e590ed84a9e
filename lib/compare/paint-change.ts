/**
 * A known change of volume painted into a real photograph: the picture moves as the displaced surface would move in it, and
 * brightens or darkens as that surface would under the light of the very photograph. Serves the validation.
 *
 * Frame   change along the outward normal, mm, head frame; loss negative. Pixels of the face's working photograph.
 * Model   a round hill or hollow d(r) = A (1 + cos(pi r / R)) / 2 around the middle of a zone, scaled to the volume asked for;
 *         normals n - grad d; irradiance from the photograph's fitted lamps (shading.ts), each seen or hidden as the fitted face has
 *         it. Not painted: new cast shadows, interreflection, change of highlights.
 * Limit   lamps and surface come from the fit that is also used to measure, so that its errors of light and shape do not
 *         show here as they would in life; skin, hair, focus, noise, compression and the frame-to-frame difference are real.
 */
import { alignPair } from '#lib/align/align-pair.ts';
import type { FineSurface } from '#lib/align/fine-surface.ts';
import { project, type SurfaceMap } from '#lib/align/surface-map.ts';
import type { Face, HeadFit } from '#lib/face/types.ts';
import { MM3_PER_ML } from '#lib/geometry/volume.ts';
import { relightPair } from '#lib/light/relight.ts';
import { LAMP_COUNT, LAMPS, visibility } from '#lib/light/visibility.ts';
import { fineZones } from '#lib/measure/bumps.ts';
import { shadingOf } from '#lib/measure/shading.ts';
import { type Raster, rasterOf } from '#lib/photo/raster.ts';
import { resample, sampleBilinear } from '#lib/photo/sample.ts';
import { REFERENCE_ZONES, ZONE_IDS, type ZoneId } from '#shared/zones.ts';

export type PaintedChange = Readonly<{ zone: ZoneId; volumeMl: number; radiusMm: number }>;

export type Painted = Readonly<{
  /** Linear RGB, the size of the face's working photograph. */
  picture: Raster;
  /** True volume change of each zone that has one, mL. */
  zoneMl: Readonly<Partial<Record<ZoneId, number>>>;
  /** Largest displacement, mm, signed. */
  peakMm: number;
}>;

/** Irradiance under this share of the mean is not divided by. */
const DEEP_SHADOW = 0.15;

/** Paints `change` into the photograph of `face`. Throws RangeError when the hill reaches no vertex of the face. */
export function paintChange(face: Face, change: PaintedChange): Painted {
  const still = alignPair(face, face);
  const { map, surface } = still;
  const hill = hillOf(surface, change);
  const { powers } = shadingOf(relightPair(still, REFERENCE_ZONES, []));

  const { moveX, moveY, logGain } = cellChanges(map, face.head, hill, powers, still.mmPerPx);
  const photo = rasterOf(face.photo);
  const { width, height } = photo;
  const grid = (data: Float32Array): Raster => ({ width: map.width, height: map.height, channels: 1, data });
  const [gx, gy, gain] = [grid(moveX), grid(moveY), grid(logGain)];
  const xs = new Float32Array(width * height);
  const ys = new Float32Array(width * height);
  for (let i = 0; i < xs.length; i++) {
    const [x, y] = [(i % width) + 0.5, Math.floor(i / width) + 0.5];
    // The move is known where the skin was; where it came from is found by repeating.
    let [u, v] = [x, y];
    for (let step = 0; step < 3; step++)
      [u, v] = [x - sampleBilinear(gx, u / map.stride, v / map.stride), y - sampleBilinear(gy, u / map.stride, v / map.stride)];
    xs[i] = u;
    ys[i] = v;
  }
  const picture = resample(photo, xs, ys, width, height, 'cubic', 'edge');
  for (let i = 0; i < xs.length; i++) {
    const factor = Math.exp(sampleBilinear(gain, xs[i] / map.stride, ys[i] / map.stride));
    for (let c = 0; c < 3; c++) picture.data[3 * i + c] *= factor;
  }
  return { picture, zoneMl: zoneVolumesOf(surface, hill), peakMm: hill.peakMm };
}

type Hill = Readonly<{ x: number; y: number; z: number; radiusMm: number; peakMm: number }>;

/** Displacement at a point of the head frame, and its derivative by the distance from the hill's middle. */
function heightAt({ x, y, z, radiusMm, peakMm }: Hill, px: number, py: number, pz: number): { d: number; slope: number; r: number } {
  const r = Math.hypot(px - x, py - y, pz - z);
  if (r >= radiusMm) return { d: 0, slope: 0, r };
  const angle = (Math.PI * r) / radiusMm;
  return { d: (peakMm * (1 + Math.cos(angle))) / 2, slope: (-peakMm * Math.PI * Math.sin(angle)) / (2 * radiusMm), r };
}

function hillOf(surface: FineSurface, { zone, volumeMl, radiusMm }: PaintedChange): Hill {
  const { headMm, areasMm2 } = surface;
  const index = ZONE_IDS.indexOf(zone);
  const middle = [0, 0, 0];
  let area = 0;
  fineZones().forEach((z, i) => {
    if (z !== index) return;
    area += areasMm2[i];
    for (let k = 0; k < 3; k++) middle[k] += areasMm2[i] * headMm[3 * i + k];
  });
  const unit = { x: middle[0] / area, y: middle[1] / area, z: middle[2] / area, radiusMm, peakMm: 1 };
  let integral = 0;
  areasMm2.forEach((each, i) => {
    integral += each * heightAt(unit, headMm[3 * i], headMm[3 * i + 1], headMm[3 * i + 2]).d;
  });
  if (!(integral > 0)) throw new RangeError(`a hill of ${radiusMm} mm reaches no part of ${zone}`);
  return { ...unit, peakMm: (volumeMl * MM3_PER_ML) / integral };
}

function zoneVolumesOf({ headMm, areasMm2 }: FineSurface, hill: Hill): Painted['zoneMl'] {
  const sums = new Float64Array(ZONE_IDS.length);
  fineZones().forEach((zone, i) => {
    if (zone >= 0) sums[zone] += (areasMm2[i] * heightAt(hill, headMm[3 * i], headMm[3 * i + 1], headMm[3 * i + 2]).d) / MM3_PER_ML;
  });
  return Object.fromEntries(ZONE_IDS.flatMap((zone, z) => (sums[z] !== 0 ? [[zone, sums[z]]] : [])));
}

/** On the cells of the map: px by which the skin moves in the picture, and the logarithm of how much brighter it becomes. */
function cellChanges(map: SurfaceMap, head: HeadFit, hill: Hill, powers: Float64Array, mmPerPx: number) {
  const size = map.width * map.height;
  const [moveX, moveY, logGain] = [new Float32Array(size), new Float32Array(size), new Float32Array(size)];
  const at: number[] = [];
  for (let k = 0; k < size; k++)
    if (map.triangle[k] >= 0 && heightAt(hill, map.headMm[3 * k], map.headMm[3 * k + 1], map.headMm[3 * k + 2]).d !== 0) at.push(k);
  const heightMm = map.depthMm.map((depth) => -depth);
  const seen = visibility({ ...map, at: Int32Array.from(at), count: at.length, heightMm, mmPerCell: map.stride * mmPerPx });
  const { rotation: r, translationMm: t } = head;
  at.forEach((k, i) => {
    const [x, y, z] = [map.headMm[3 * k], map.headMm[3 * k + 1], map.headMm[3 * k + 2]];
    const { d, slope, r: far } = heightAt(hill, x, y, z);
    const n = [map.normal[3 * k], map.normal[3 * k + 1], map.normal[3 * k + 2]];
    // viewer -> camera: y and z flip
    const camera = [0, 1, 2].map((row) => r[3 * row] * x + r[3 * row + 1] * y + r[3 * row + 2] * z + t[row]);
    const from = project(head, camera[0], camera[1], camera[2]);
    const to = project(head, camera[0] + d * n[0], camera[1] - d * n[1], camera[2] - d * n[2]);
    moveX[k] = to[0] - from[0];
    moveY[k] = to[1] - from[1];
    const away = far > 0 ? [x - hill.x, y - hill.y, z - hill.z].map((value) => (slope * value) / far) : [0, 0, 0];
    const turned = [0, 1, 2].map(
      (row) => (row === 0 ? 1 : -1) * (r[3 * row] * away[0] + r[3 * row + 1] * away[1] + r[3 * row + 2] * away[2]),
    );
    const along = turned[0] * n[0] + turned[1] * n[1] + turned[2] * n[2];
    const tilted = n.map((value, c) => value - (turned[c] - along * value));
    const length = Math.hypot(tilted[0], tilted[1], tilted[2]);
    const light = (a: readonly number[], scale: number): number => {
      let sum = powers[LAMP_COUNT];
      for (let l = 0; l < LAMP_COUNT; l++)
        sum +=
          powers[l] *
          seen[i * LAMP_COUNT + l] *
          Math.max(0, (a[0] * LAMPS[3 * l] + a[1] * LAMPS[3 * l + 1] + a[2] * LAMPS[3 * l + 2]) / scale);
      return Math.max(DEEP_SHADOW, sum);
    };
    logGain[k] = Math.log(light(tilted, length) / light(n, 1));
  });
  return { moveX, moveY, logGain };
}
