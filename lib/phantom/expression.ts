/**
 * Slight movements of the resting face: smile, parted lips, raised brows, drooping lids.
 *
 * Frame   head, mm, on the coarse head. 1 is a plain movement; amounts are ours.
 */
import { MIRROR_LANDMARK } from '#shared/mirror-landmark.ts';
import { addHills, bothSides, type Hill, smoothstep } from './fields.ts';
import { headTopology } from './head-topology.ts';
import { LOWER_RINGS, openEyes } from './mouth-and-lids.ts';
import type { ExpressionSpec } from './types.ts';

export const AT_REST: ExpressionSpec = { smile: 0, mouthOpen: 0, browRaise: 0, lidClose: 0, gazeXDeg: 0, gazeYDeg: 0 };

const SMILE: readonly Hill[] = [
  ...bothSides({ at: [26, -43, 43], sigma: 11, move: [4.5, 4.5, -2.2] }),
  ...bothSides({ at: [42, -10, 36], sigma: 15, move: [1, 2.2, 2.2] }),
  ...bothSides({ at: [32, 16, 37], sigma: 8, move: [0, 0.9, 0.4] }),
];
const BROWS = bothSides({ at: [34, 47, 45], sigma: 16, move: [0, 4.5, 0.3] });
const LOWER_LIP = new Set(LOWER_RINGS.flatMap((ring) => ring.flatMap((i) => [i, MIRROR_LANDMARK[i]])));
const JAW_DROP_MM = 7;

/** Moves `rest` (coarse, 3) mm; returns the moved head. */
export function express(rest: Float64Array, { smile, mouthOpen, browRaise, lidClose }: ExpressionSpec): Float64Array {
  const { vertices: places, hangsOn } = headTopology();
  const out = rest.slice();
  addHills(out, places, SMILE, smile);
  addHills(out, places, BROWS, browRaise);
  if (mouthOpen !== 0) {
    for (let i = 0; i < out.length / 3; i++) {
      const from = hangsOn[i] >= 0 ? hangsOn[i] : i;
      const [x, y, z] = [places[3 * from], places[3 * from + 1], places[3 * from + 2]];
      const lip = LOWER_LIP.has(from) ? smoothstep(25, 12, Math.abs(x)) : 0;
      const jaw = smoothstep(-44, -62, y) * smoothstep(-40, 20, z);
      out[3 * i + 1] -= mouthOpen * JAW_DROP_MM * Math.max(lip, jaw);
    }
  }
  if (lidClose !== 0) {
    const before = out.slice();
    openEyes(out, -6.5 * lidClose);
    hangsOn.forEach((on, i) => {
      if (on >= 0) for (let k = 0; k < 3; k++) out[3 * i + k] += out[3 * on + k] - before[3 * on + k];
    });
  }
  return out;
}
