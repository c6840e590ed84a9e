/** The zones of one view drawn over a picture of it: outlines, and a number on each zone that is beyond error. */
import type { ZoneResult } from '#shared/comparison.ts';
import type { OutlineLoops, PlateInfo } from '#shared/plates.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import { coordinate, escapeText } from './markup.ts';

export type ZoneMap = Readonly<{
  info: PlateInfo;
  /** What stands beneath: a data URI or an address of the page's own. */
  imageHref: string;
  /** Said in place of the picture. */
  label: string;
  /** In table order; the number drawn is the place in this list, from 1. */
  zones: readonly Pick<ZoneResult, 'zone' | 'finding'>[];
}>;

/** A whole SVG in px of the plate; it scales to the width it is given. */
export function zoneMapSvg({ info, imageHref, label, zones }: ZoneMap): string {
  const drawn = zones.flatMap(({ zone, finding }, place) => {
    const loops = info.zoneOutlines[zone];
    return loops && loops.length > 0 ? [zoneMark(zone, loops, finding === 'beyond-error' ? place + 1 : null, info.width)] : [];
  });
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${info.width} ${info.height}" role="img">` +
    `<title>${escapeText(label)}</title>` +
    `<image href="${escapeText(imageHref)}" width="${info.width}" height="${info.height}"/>` +
    `${drawn.join('')}</svg>`
  );
}

/** White under black, so that the line is seen on every skin. */
function zoneMark(zone: ZoneId, loops: OutlineLoops, number: number | null, width: number): string {
  const d = loops.map(pathOf).join('');
  const thin = width / 900;
  const stroke = number === null ? thin : 2.2 * thin;
  const lines =
    `<path d="${d}" fill="none" stroke="#fff" stroke-opacity="0.7" stroke-width="${coordinate(2.4 * stroke)}"/>` +
    `<path d="${d}" fill="none" stroke="#111" stroke-opacity="${number === null ? 0.45 : 0.9}" stroke-width="${coordinate(stroke)}"/>`;
  const [x, y] = middleOf(loops[0]!);
  const size = width / 32;
  const badge =
    number === null
      ? ''
      : `<circle cx="${coordinate(x)}" cy="${coordinate(y)}" r="${coordinate(0.75 * size)}" fill="#fff" stroke="#111" stroke-width="${coordinate(thin)}"/>` +
        `<text x="${coordinate(x)}" y="${coordinate(y + 0.36 * size)}" text-anchor="middle" font-family="system-ui, sans-serif" font-size="${coordinate(size)}" font-weight="600" fill="#111">${number}</text>`;
  return `<g><title>${escapeText(zoneLabel(zone))}</title>${lines}${badge}</g>`;
}

/** A flat loop [x0, y0, x1, y1, ...] as path data. */
export function pathOf(loop: readonly number[]): string {
  const corners = Array.from({ length: loop.length / 2 }, (_, i) => `${coordinate(loop[2 * i]!)} ${coordinate(loop[2 * i + 1]!)}`);
  return corners.length === 0 ? '' : `M${corners.join('L')}Z`;
}

/** The centroid of a loop's area; of its corners when it has none. */
function middleOf(loop: readonly number[]): [number, number] {
  const n = loop.length / 2;
  let [area, x, y, mx, my] = [0, 0, 0, 0, 0];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    const [x0, y0, x1, y1] = [loop[2 * i]!, loop[2 * i + 1]!, loop[2 * j]!, loop[2 * j + 1]!];
    const cross = x0 * y1 - x1 * y0;
    area += cross;
    x += (x0 + x1) * cross;
    y += (y0 + y1) * cross;
    mx += x0 / n;
    my += y0 / n;
  }
  return Math.abs(area) < 1e-9 ? [mx, my] : [x / (3 * area), y / (3 * area)];
}
