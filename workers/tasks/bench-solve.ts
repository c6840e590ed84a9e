/** Times of the displacement fit alone, on the demo's three views, in a process of its own, for `bench.ts`: prints them as JSON. */
import { alignPair } from '#lib/align/align-pair.ts';
import { sightFace } from '#lib/face/sight.ts';
import type { Face } from '#lib/face/types.ts';
import { relightPair } from '#lib/light/relight.ts';
import { fitDisplacement } from '#lib/measure/displacement.ts';
import { DISPLACEMENT_PARAMETERS } from '#lib/measure/displacement-parameters.ts';
import { openPhoto } from '#lib/photo/open.ts';
import { median } from '#lib/stats/quantile.ts';
import { MOBILE_ZONES, REFERENCE_ZONES } from '#shared/zones.ts';
import { demoCase, demoSources } from '#workers/demo-case.ts';

export type SolveFigures = Readonly<{
  /** Median time for the first 1, 2, 3 views. */
  viewsMs: readonly number[];
  /** One view, with every so many cells entering. */
  cells: readonly Readonly<{ rows: number; ms: number }>[];
  /** One view, with the field's bumps so many mm apart. */
  bumps: readonly Readonly<{ bumps: number; ms: number }>[];
}>;

const REPEATS = 3;
const demo = await demoCase();
const [befores, afters] = await Promise.all(
  [demo.before, demo.after].map(async (names) => Promise.all((await demoSources(names)).map(sighted))),
);
const views = befores.map((before, v) => relightPair(alignPair(before, afters[v]), REFERENCE_ZONES, MOBILE_ZONES));

const time = (work: () => unknown): number =>
  median(
    Array.from({ length: REPEATS }, () => {
      const begun = performance.now();
      work();
      return performance.now() - begun;
    }),
  );
const P = DISPLACEMENT_PARAMETERS;
fitDisplacement(views, REFERENCE_ZONES); // the first call compiles
const figures: SolveFigures = {
  viewsMs: views.map((_, v) => time(() => fitDisplacement(views.slice(0, v + 1), REFERENCE_ZONES))),
  cells: [12, 6, 3, 2, 1].map((thinning) => ({
    rows: Math.round(views[0].cells.count / thinning),
    ms: time(() => fitDisplacement(views.slice(0, 1), REFERENCE_ZONES, { ...P, thinning })),
  })),
  bumps: [12, 10, 8, 7].map((spacingMm) => {
    const work = () =>
      fitDisplacement(views.slice(0, 1), REFERENCE_ZONES, { ...P, spacingMm, sigmaMm: (P.sigmaMm / P.spacingMm) * spacingMm });
    return { bumps: work().bumpsMm.length, ms: time(work) };
  }),
};
process.stdout.write(JSON.stringify(figures), () => process.exit(0)); // the engine would keep the process alive

async function sighted({ bytes, name }: { bytes: Uint8Array; name: string }): Promise<Face> {
  const photo = await openPhoto(bytes, name);
  const face = photo.ok ? await sightFace(photo.value, { kind: 'iris' }) : photo;
  if (!face.ok) throw new Error(face.detail);
  return face.value;
}
