/** A photograph with the numbered marks that a patient put on it, as one drawing. */
import { coordinate, dataUri } from '#lib/report/markup.ts';
import { jpegSize } from './jpeg-size.ts';

/** Fractions of the photograph's width and height, from its top left. */
export type Mark = Readonly<{ x: number; y: number }>;

/** A whole SVG in px of the photograph. White under black, so that a mark is seen on every skin. */
export function markedPhotoSvg(jpeg: Uint8Array, marks: readonly Mark[]): string {
  const { width, height } = jpegSize(jpeg);
  const r = Math.min(width, height) / 38;
  const drawn = marks.map(({ x, y }, k) => {
    const [cx, cy] = [coordinate(x * width), coordinate(y * height)];
    return (
      `<circle cx="${cx}" cy="${cy}" r="${coordinate(r)}" fill="#fff" stroke="#111" stroke-width="${coordinate(r / 6)}"/>` +
      `<text x="${cx}" y="${coordinate(y * height + 0.36 * r * 1.3)}" text-anchor="middle" font-size="${coordinate(r * 1.3)}" font-weight="600" fill="#111">${k + 1}</text>`
    );
  });
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" role="img">` +
    `<image href="${dataUri('image/jpeg', jpeg)}" width="${width}" height="${height}"/>${drawn.join('')}</svg>`
  );
}
