/** The text of an SVG `text` element as pieces with their places: `x`, `y`, `dx`, `dy` in user units or em, and `tspan` lines. */

import type { SvgNode } from './svg-parse.ts';
import { lengthOf, propertiesOf, type SvgStyle, styleOf } from './svg-style.ts';

/** `x` is the anchor's place, `y` the baseline's. */
export type SvgText = Readonly<{ text: string; x: number; y: number; style: SvgStyle }>;

export function textOf(node: SvgNode, style: SvgStyle): SvgText[] {
  const pieces: SvgText[] = [];
  place(node, style, { x: 0, y: 0 }, pieces);
  return pieces;
}

function place(node: SvgNode, style: SvgStyle, from: { x: number; y: number }, pieces: SvgText[]): void {
  const said = propertiesOf(node);
  const length = (name: string, otherwise: number): number =>
    said[name] === undefined ? otherwise : lengthOf(said[name], style.fontSize, otherwise);
  const at = { x: length('x', from.x) + length('dx', 0), y: length('y', from.y) + length('dy', 0) };
  for (const child of node.children) {
    if (typeof child === 'string') {
      const text = child.replace(/\s+/g, ' ').trim();
      if (text !== '') pieces.push({ text, ...at, style });
    } else if (child.name === 'tspan') {
      const begun = pieces.length;
      place(child, styleOf(child, style), at, pieces);
      const last = pieces.at(-1);
      // The next line of a text counts its dy from this one.
      if (last && pieces.length > begun) at.y = last.y;
    } else if (child.name !== 'title') throw new RangeError(`printed reports have no way to set <${child.name}> in a text`);
  }
}
