/**
 * Two faces become one grid: the after photograph in the frame of the before photograph, with what is left over.
 *
 * Frame   px of the before photograph at its working scale.
 */

import { luminanceFromLinearSrgb } from '#lib/colour/luminance.ts';
import type { Face } from '#lib/face/types.ts';
import { halve, type Raster, rasterOf } from '#lib/photo/raster.ts';
import type { View } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import { textureFeatures } from './features.ts';
import { type FineSurface, fineSurface } from './fine-surface.ts';
import type { Flow } from './flow.ts';
import { withHidden } from './hidden-skin.ts';
import { addShifts, type Lattice, restingLattice } from './lattice.ts';
import { notSkin } from './not-skin.ts';
import { blockSums, improve, type LandmarkPull, type Layer } from './register.ts';
import { type RigidMotion, relativePose } from './relative-pose.ts';
import { project, type SurfaceMap, surfaceMap } from './surface-map.ts';
import { warpColour } from './warp.ts';

/** Side of the cells on which surface and flow are kept, mm. */
const CELL_MM = 0.8;
/** Distance of the lattice's nodes, mm: finer than expression, coarser than pores. */
const NODE_MM = 8;
/**
 * Gauss-Newton steps on the quarter-size and half-size texture, each by the least noise it believes in, in units of the
 * features' root mean square. A pair that is nearly equal everywhere would else call the one zone that sank an outlier
 * and leave it behind; so the steps begin forgiving and end strict (graduated non-convexity: Blake & Zisserman, Visual Reconstruction, 1987).
 */
const STEPS = [
  [1, 0.7, 0.5],
  [0.8, 0.5, 0.35],
] as const;
const LAST_NOISE = 0.35;

export type Registration = Readonly<{
  /** Root mean square of the shift that texture still shows after alignment, measured patch by patch without any prior. */
  residualPx: number;
  residualMm: number;
  /** Root mean square of the motion that is not rigid, over the face, mm. */
  expressionMm: number;
}>;

export type AlignedPair = Readonly<{
  stage: 'aligned';
  view: View;
  before: Face;
  after: Face;
  mmPerPx: number;
  /** The before face. */
  surface: FineSurface;
  map: SurfaceMap;
  /** (cells of map) 1 where there is no skin in one of the photographs. */
  notSkin: Uint8Array;
  flow: Flow;
  /** The part of the flow that rigid motion explains. */
  rigidFlow: Flow;
  rigid: RigidMotion;
  /** Linear RGB, size of the before photograph; NaN where the after photograph shows nothing. */
  afterAligned: Raster;
  registration: Registration;
}>;

/** `hidden` are zones that something lies before in one of the photographs; they are aligned as their surroundings and counted as no skin. */
export function alignPair(before: Face, after: Face, hidden: readonly ZoneId[] = []): AlignedPair {
  const mmPerPx = before.scale.mmPerPx;
  const { width, height } = before.photo;
  const stride = Math.max(1, Math.round(CELL_MM / mmPerPx));
  const surface = fineSurface(before.head);
  const map = surfaceMap(surface, before.head, width, height, stride);
  const rigid = relativePose(before, after);
  const rigidFlow = flowOfMotion(before, after, map, rigid);
  const bare = notSkin(before.landmarks, map.width, map.height, stride, mmPerPx);
  const skipped = withHidden(bare, map, before.landmarks, mmPerPx, hidden);

  const box = boxOfSurface(map);
  let lattice = restingLattice(box.left, box.top, box.right, box.bottom, NODE_MM / mmPerPx);
  const landmarks = landmarkPull(before, after, rigid);
  lattice = improve(lattice, landmarks, mmPerPx, null);

  const layers = textureLayers(before, after, map, skipped);
  layers.forEach((layer, k) => {
    for (const noiseLeast of STEPS[k])
      lattice = improve(lattice, landmarks, mmPerPx, { layer, flow: bent(rigidFlow, lattice), noiseLeast });
  });
  const flow = bent(rigidFlow, lattice);
  const residualPx = patchResidual(layers.at(-1)!, flow, mmPerPx);
  return {
    stage: 'aligned',
    view: before.view,
    before,
    after,
    mmPerPx,
    surface,
    map,
    notSkin: skipped,
    flow,
    rigidFlow,
    rigid,
    afterAligned: warpColour(rasterOf(after.photo), flow, width, height, box),
    registration: { residualPx, residualMm: residualPx * mmPerPx, expressionMm: meanShift(lattice, map) * mmPerPx },
  };
}

/** The flow of the rigid motion alone; where no surface is drawn, the depth around goes on. */
function flowOfMotion(before: Face, after: Face, map: SurfaceMap, rigid: RigidMotion): Flow {
  const depth = filledDepth(map);
  const { rotation: r, translationMm: t } = rigid;
  const { focalPx, principalPx } = before.head;
  const x = new Float32Array(depth.length),
    y = new Float32Array(depth.length);
  for (let j = 0, k = 0; j < map.height; j++) {
    for (let i = 0; i < map.width; i++, k++) {
      const z = depth[k];
      const X = (((i + 0.5) * map.stride - principalPx[0]) * z) / focalPx;
      const Y = (((j + 0.5) * map.stride - principalPx[1]) * z) / focalPx;
      const [u, v] = project(
        after.head,
        r[0] * X + r[1] * Y + r[2] * z + t[0],
        r[3] * X + r[4] * Y + r[5] * z + t[1],
        r[6] * X + r[7] * Y + r[8] * z + t[2],
      );
      x[k] = u;
      y[k] = v;
    }
  }
  return { width: map.width, height: map.height, stride: map.stride, x, y };
}

/** Depth with its gaps closed: means of halved grids fill what no surface covers, coarse to fine. */
function filledDepth(map: SurfaceMap): Float32Array {
  const fill = (values: Float32Array, width: number, height: number): Float32Array => {
    if (!values.some((value) => !Number.isFinite(value))) return values;
    const w = (width + 1) >> 1,
      h = (height + 1) >> 1;
    const coarse = new Float32Array(w * h);
    for (let j = 0; j < h; j++) {
      for (let i = 0; i < w; i++) {
        let sum = 0,
          count = 0;
        for (let b = 2 * j; b < Math.min(height, 2 * j + 2); b++)
          for (let a = 2 * i; a < Math.min(width, 2 * i + 2); a++)
            if (Number.isFinite(values[b * width + a])) {
              sum += values[b * width + a];
              count++;
            }
        coarse[j * w + i] = count ? sum / count : Infinity;
      }
    }
    if (w * h === 1 && !Number.isFinite(coarse[0])) throw new RangeError('the fitted face lies outside its photograph');
    const below = fill(coarse, w, h);
    return values.map((value, k) => (Number.isFinite(value) ? value : below[(Math.floor(k / width) >> 1) * w + ((k % width) >> 1)]));
  };
  return fill(map.depthMm, map.width, map.height);
}

function landmarkPull(before: Face, after: Face, rigid: RigidMotion): LandmarkPull {
  const points = before.head.verticesMm;
  const { rotation: r, translationMm: t } = rigid;
  const count = points.length / 3;
  const places = new Float64Array(2 * count),
    pulls = new Float64Array(2 * count);
  for (let i = 0; i < count; i++) {
    const x = points[3 * i],
      y = points[3 * i + 1],
      z = points[3 * i + 2];
    const [u, v] = project(
      after.head,
      r[0] * x + r[1] * y + r[2] * z + t[0],
      r[3] * x + r[4] * y + r[5] * z + t[1],
      r[6] * x + r[7] * y + r[8] * z + t[2],
    );
    const [bx, by] = project(before.head, x, y, z);
    places[2 * i] = bx;
    places[2 * i + 1] = by;
    pulls[2 * i] = after.landmarks[3 * i] - u;
    pulls[2 * i + 1] = after.landmarks[3 * i + 1] - v;
  }
  return { places, pulls };
}

/** The rigid flow with the lattice's shift added. */
function bent(rigid: Flow, lattice: Lattice): Flow {
  const x = Float32Array.from(rigid.x),
    y = Float32Array.from(rigid.y);
  addShifts(lattice, rigid.width, rigid.height, rigid.stride, x, y);
  return { ...rigid, x, y };
}

/** Rim around the landmarks that the features' blurs may look at, mm. */
const FEATURE_RIM_MM = 8;

function textureLayers(before: Face, after: Face, map: SurfaceMap, skipped: Uint8Array): Layer[] {
  const halves = [before, after].map(faceLuminance);
  const quarters = halves.map(({ image, x, y }) => ({ image: halve(image), x: x / 2, y: y / 2 }));
  const layer = ([b, a]: FacePart[], scale: number, coarse: number): Layer => {
    const [fb, fa] = [b, a].map(({ image }) => textureFeatures(image, 0.8, coarse, 3 * coarse));
    const mask = new Uint8Array(fb.width * fb.height);
    for (let y = 0; y < fb.height; y++) {
      const row = Math.min(map.height - 1, Math.floor((b.y + y + 0.5) / scale / map.stride)) * map.width;
      for (let x = 0; x < fb.width; x++) {
        const cell = row + Math.min(map.width - 1, Math.floor((b.x + x + 0.5) / scale / map.stride));
        if (map.triangle[cell] >= 0 && !skipped[cell]) mask[y * fb.width + x] = 1;
      }
    }
    return { scale, before: fb, after: fa, beforeAt: [b.x, b.y], afterAt: [a.x, a.y], mask };
  };
  return [layer(quarters, 0.25, 4), layer(halves, 0.5, 3)];
}

type FacePart = Readonly<{ image: Raster; x: number; y: number }>;

/** Luminance of the part of the photograph that shows the face, at half size, and where it begins (px of the half-size photograph, even). */
function faceLuminance({ photo, landmarks, scale }: Face): FacePart {
  const rim = FEATURE_RIM_MM / scale.mmPerPx;
  let [left, right, top, bottom] = [photo.width, 0, photo.height, 0];
  for (let i = 0; i < landmarks.length; i += 3) {
    left = Math.min(left, landmarks[i]);
    right = Math.max(right, landmarks[i]);
    top = Math.min(top, landmarks[i + 1]);
    bottom = Math.max(bottom, landmarks[i + 1]);
  }
  const x0 = 4 * Math.floor(Math.max(0, left - rim) / 4);
  const y0 = 4 * Math.floor(Math.max(0, top - rim) / 4);
  const width = Math.min(photo.width, Math.ceil(right + rim)) - x0;
  const height = Math.min(photo.height, Math.ceil(bottom + rim)) - y0;
  const data = new Float32Array(width * height);
  for (let y = 0, k = 0; y < height; y++)
    for (let x = 0, p = 3 * ((y + y0) * photo.width + x0); x < width; x++, k++, p += 3)
      data[k] = luminanceFromLinearSrgb(photo.data[p], photo.data[p + 1], photo.data[p + 2]);
  return { image: halve({ width, height, channels: 1, data }), x: x0 / 2, y: y0 / 2 };
}

function boxOfSurface(map: SurfaceMap): { left: number; right: number; top: number; bottom: number } {
  let [left, right, top, bottom] = [map.width, 0, map.height, 0];
  map.triangle.forEach((t, k) => {
    if (t < 0) return;
    const i = k % map.width,
      j = Math.floor(k / map.width);
    left = Math.min(left, i);
    right = Math.max(right, i + 1);
    top = Math.min(top, j);
    bottom = Math.max(bottom, j + 1);
  });
  const s = map.stride;
  return { left: left * s, right: right * s, top: top * s, bottom: bottom * s };
}

/** Root mean square length of the lattice's shift over the surface, px. */
function meanShift(lattice: Lattice, map: SurfaceMap): number {
  const dx = new Float32Array(map.triangle.length);
  const dy = new Float32Array(map.triangle.length);
  addShifts(lattice, map.width, map.height, map.stride, dx, dy);
  let sum = 0;
  let count = 0;
  map.triangle.forEach((t, k) => {
    if (t < 0) return;
    sum += dx[k] * dx[k] + dy[k] * dy[k];
    count++;
  });
  return Math.sqrt(sum / Math.max(1, count));
}

/** Side of a patch whose own shift is measured, mm, and the least weight (feature px) that makes it count. */
const PATCH_MM = 10;
const PATCH_LEAST = 60;

/**
 * What shift each patch of texture still asks for on its own; root mean square over the patches, working px. A patch counts by its
 * information in its worse direction, or smooth skin, whose answer is mostly noise, would be all that the figure shows.
 */
function patchResidual(layer: Layer, flow: Flow, mmPerPx: number): number {
  const blocks = blockSums(layer, flow, LAST_NOISE);
  const side = Math.max(2, Math.round(((PATCH_MM / mmPerPx) * layer.scale) / 4));
  let sum = 0;
  let total = 0;
  for (let J = 0; J + side <= blocks.rows; J += side) {
    for (let I = 0; I + side <= blocks.columns; I += side) {
      const s = new Float64Array(6);
      for (let j = J; j < J + side; j++)
        for (let i = I; i < I + side; i++) for (let k = 0; k < 6; k++) s[k] += blocks.sums[6 * (j * blocks.columns + i) + k];
      const det = s[0] * s[2] - s[1] * s[1];
      if (s[5] < PATCH_LEAST || det <= 1e-3 * (s[0] + s[2]) ** 2) continue;
      const dx = (s[2] * s[3] - s[1] * s[4]) / det,
        dy = (s[0] * s[4] - s[1] * s[3]) / det;
      const information = det / (s[0] + s[2]);
      sum += information * Math.min(dx * dx + dy * dy, 9);
      total += information;
    }
  }
  return total > 0 ? Math.sqrt(sum / total) / layer.scale : Number.NaN;
}
