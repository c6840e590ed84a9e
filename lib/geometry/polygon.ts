/**
 * Polygons in the plane: area and whether a point lies inside.
 *
 * Frame   any plane; points flat, [x0, y0, x1, y1, ...]; the last point joins the first, it is not repeated.
 */

/** Signed area (shoelace): positive when the loop turns from x towards y, which is clockwise on screen where y points down. */
export function polygonArea(loop: ArrayLike<number>): number {
  let twice = 0;
  for (let i = 0, j = loop.length - 2; i < loop.length; j = i, i += 2) twice += loop[j] * loop[i + 1] - loop[i] * loop[j + 1];
  return twice / 2;
}

/**
 * True inside the loop, by the even-odd rule. A point on an edge belongs to one of the two polygons that share the edge:
 * edges count from their lower y, included, to their higher y, excluded.
 */
export function pointInPolygon(loop: ArrayLike<number>, x: number, y: number): boolean {
  let inside = false;
  for (let i = 0, j = loop.length - 2; i < loop.length; j = i, i += 2) {
    const yi = loop[i + 1];
    const yj = loop[j + 1];
    if (yi > y === yj > y) continue;
    // Always reckoned from the lower end, so that neighbours who share the edge get the same crossing to the last bit.
    const [lx, ly, hx, hy] = yi < yj ? [loop[i], yi, loop[j], yj] : [loop[j], yj, loop[i], yi];
    if (x < lx + ((y - ly) / (hy - ly)) * (hx - lx)) inside = !inside;
  }
  return inside;
}
