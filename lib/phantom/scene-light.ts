/**
 * How much of each lamp, and of the light from around, reaches every vertex of a scene.
 *
 * Frame   camera, mm.
 */
import { ATTRIBUTE, STRIDE } from './attributes.ts';
import type { HeadGrid } from './head-grid.ts';
import { lampDirections, softCosine, sphereDirections } from './light.ts';
import { lightReaching } from './occlusion.ts';
import type { PhantomSpec } from './types.ts';

export type LightQuality = Readonly<{ lampRays: number; ambientRays: number }>;

/** Weight of a direction in the light from around: more from above and from the front. */
const AROUND = { level: 1, up: 0.5, front: 0.3 } as const;

/** Shadows are worked out on the coarser head and carried up. */
export function lightScene({
  spec,
  quality,
  grid,
  vertices,
  normals,
  triangles,
  attributes,
}: Readonly<{
  spec: PhantomSpec;
  quality: LightQuality;
  grid: HeadGrid;
  vertices: Float64Array;
  normals: Float64Array;
  triangles: Uint32Array;
  attributes: Float32Array;
}>): void {
  const { coarser } = grid;
  const others = vertices.length / 3 - grid.count;
  const shift = grid.count - coarser.count;
  const pick = (values: Float64Array): Float64Array => {
    const out = new Float64Array(3 * (coarser.count + others));
    out.set(values.subarray(0, 3 * coarser.count));
    out.set(values.subarray(3 * grid.count), 3 * coarser.count);
    return out;
  };
  const rough = {
    vertices: pick(vertices),
    normals: pick(normals),
    triangles: new Uint32Array(coarser.triangles.length + triangles.length - grid.triangles.length),
  };
  rough.triangles.set(coarser.triangles);
  rough.triangles.set(
    triangles.subarray(grid.triangles.length).map((i) => i - shift),
    coarser.triangles.length,
  );
  const write = (at: number, values: Float64Array): void => {
    const up = coarser.carryUp(values.slice(0, coarser.count), 1);
    up.forEach((value, i) => {
      attributes[i * STRIDE + at] = value;
    });
    for (let i = 0; i < others; i++) attributes[(grid.count + i) * STRIDE + at] = values[coarser.count + i];
  };
  spec.light.lamps.forEach((lamp, k) =>
    write(
      ATTRIBUTE.lamp + k,
      lightReaching(
        rough.vertices,
        rough.normals,
        rough.triangles,
        lampDirections(lamp, quality.lampRays),
        (cosine) => softCosine(cosine, 0.35) + 0.02,
      ),
    ),
  );
  const sphere = sphereDirections(quality.ambientRays);
  write(
    ATTRIBUTE.ambient,
    lightReaching(
      rough.vertices,
      rough.normals,
      rough.triangles,
      sphere,
      (cosine, d) => Math.max(0, cosine) * (AROUND.level - AROUND.up * sphere[d][1] - AROUND.front * sphere[d][2]),
    ),
  );
}
