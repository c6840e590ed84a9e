/**
 * The canonical mesh as the landmark engine places it on people.
 *
 * Frame   head, mm.
 * Model   On portraits the engine's landmarks are narrower behind the face than the canonical mesh: its temples lie inside the
 *         outline that a real head shows, about as if every picture had been taken NARROWING nearer than it was. The
 *         shape used for fitting has that narrowing built in, (x, y) / (1 - NARROWING * z), so that the fitted
 *         perspective is that of the camera.
 * Source  mean of the free fit over 22 studio portraits of two public sets (DeBruine & Jones 2017, figshare 4220517, and
 *         DeBruine 2016, figshare 4055130, CC-BY): 1.5 per m, sd 0.35, less what portraits from about 1.5 m show.
 */
import { canonicalMesh } from './canonical-mesh.ts';

/** Per mm. */
const NARROWING = 0.0012;

let kept: Float64Array | null = null;

/** (468, 3) mm, read-only. */
export function seenShape(): Float64Array {
  kept ??= canonicalMesh().vertices.map((v, at, all) => (at % 3 === 2 ? v : v / (1 - NARROWING * all[at - (at % 3) + 2])));
  return kept;
}
