/** How an SVG element is to be painted: the presentation attributes (SVG 2, chapter 13) that are handed down, and those that are not. */
import { INK } from './paper.ts';
import type { SvgNode } from './svg-parse.ts';

export type SvgStyle = Readonly<{
  /** What `currentColor` means here. */
  colour: string;
  /** A hex colour, `url(#id)`, or null for none. */
  fill: string | null;
  stroke: string | null;
  strokeWidth: number;
  dashes: readonly number[];
  dashOffset: number;
  cap: 'butt' | 'round' | 'square';
  join: 'miter' | 'round' | 'bevel';
  fillOpacity: number;
  strokeOpacity: number;
  /** Of this element and all that it was in, multiplied; exact where nothing overlaps. */
  opacity: number;
  evenOdd: boolean;
  fontSize: number;
  bold: boolean;
  italic: boolean;
  anchor: 'start' | 'middle' | 'end';
}>;

export const FIRST_STYLE: SvgStyle = {
  colour: INK,
  fill: '#000000',
  stroke: null,
  strokeWidth: 1,
  dashes: [],
  dashOffset: 0,
  cap: 'butt',
  join: 'miter',
  fillOpacity: 1,
  strokeOpacity: 1,
  opacity: 1,
  evenOdd: false,
  fontSize: 12,
  bold: false,
  italic: false,
  anchor: 'start',
};

/** Attributes and the `style` attribute's declarations, the latter stronger. */
export function propertiesOf({ attributes }: SvgNode): Readonly<Record<string, string>> {
  if (!attributes.style) return attributes;
  const declared = attributes.style.split(';').flatMap((one) => {
    const [name, ...value] = one.split(':');
    return value.length > 0 ? [[name!.trim(), value.join(':').trim()] as const] : [];
  });
  return { ...attributes, ...Object.fromEntries(declared) };
}

export function styleOf(node: SvgNode, parent: SvgStyle): SvgStyle {
  const said = propertiesOf(node);
  const colour = said.color ? (colourOf(said.color, parent.colour) ?? parent.colour) : parent.colour;
  const fontSize = said['font-size'] ? lengthOf(said['font-size'], parent.fontSize, parent.fontSize) : parent.fontSize;
  const number = (name: string, inherited: number): number => {
    const text = said[name];
    return text === undefined ? inherited : text.endsWith('%') ? Number.parseFloat(text) / 100 : Number.parseFloat(text);
  };
  const weight = said['font-weight'];
  return {
    colour,
    fill: said.fill === undefined ? parent.fill : colourOf(said.fill, colour),
    stroke: said.stroke === undefined ? parent.stroke : colourOf(said.stroke, colour),
    strokeWidth: said['stroke-width'] === undefined ? parent.strokeWidth : lengthOf(said['stroke-width'], fontSize, parent.strokeWidth),
    dashes: said['stroke-dasharray'] === undefined ? parent.dashes : dashesOf(said['stroke-dasharray']),
    dashOffset: number('stroke-dashoffset', parent.dashOffset),
    cap: oneOf(said['stroke-linecap'], ['butt', 'round', 'square'], parent.cap),
    join: oneOf(said['stroke-linejoin'], ['miter', 'round', 'bevel'], parent.join),
    fillOpacity: number('fill-opacity', parent.fillOpacity),
    strokeOpacity: number('stroke-opacity', parent.strokeOpacity),
    opacity: parent.opacity * number('opacity', 1),
    evenOdd: said['fill-rule'] === undefined ? parent.evenOdd : said['fill-rule'] === 'evenodd',
    fontSize,
    bold: weight === undefined ? parent.bold : weight === 'bold' || weight === 'bolder' || Number(weight) >= 600,
    italic: said['font-style'] === undefined ? parent.italic : said['font-style'] !== 'normal',
    anchor: oneOf(said['text-anchor'], ['start', 'middle', 'end'], parent.anchor),
  };
}

function oneOf<const T extends string>(text: string | undefined, known: readonly T[], otherwise: T): T {
  return known.find((one) => one === text) ?? otherwise;
}

const dashesOf = (text: string): number[] =>
  text === 'none'
    ? []
    : text
        .trim()
        .split(/[\s,]+/)
        .map(Number.parseFloat);

/** Plain numbers, px, pt as px, and em of the font. */
export function lengthOf(text: string, fontSize: number, otherwise: number): number {
  const value = Number.parseFloat(text);
  if (!Number.isFinite(value)) return otherwise;
  return /[\d.]em$/.test(text.trim()) ? value * fontSize : value;
}

const NAMED: Readonly<Record<string, string>> = {
  black: '#000000',
  white: '#ffffff',
  // CSS's name of the page's own ground, which on paper is white.
  canvas: '#ffffff',
  red: '#ff0000',
  gray: '#808080',
  grey: '#808080',
  steelblue: '#4682b4',
};

/** Null for `none` and for what is unseen; throws for a colour that this subset has no word for, rather than drawing it black. */
export function colourOf(text: string, current: string): string | null {
  const word = text.trim().toLowerCase();
  if (word === 'none' || word === 'transparent') return null;
  if (word === 'currentcolor') return current;
  if (/^#[0-9a-f]{6}$/.test(word) || word.startsWith('url(#')) return word.startsWith('url') ? text.trim() : word;
  if (/^#[0-9a-f]{3}$/.test(word)) return `#${[...word.slice(1)].map((digit) => digit + digit).join('')}`;
  const rgb = /^rgb\(\s*(\d+)[\s,]+(\d+)[\s,]+(\d+)\s*\)$/.exec(word);
  if (rgb)
    return `#${rgb
      .slice(1)
      .map((part) => Number(part).toString(16).padStart(2, '0'))
      .join('')}`;
  const variable = /^var\(\s*--[\w-]+\s*,\s*([^)]+)\)$/.exec(text.trim());
  if (variable) return colourOf(variable[1]!, current);
  const named = NAMED[word];
  if (named === undefined) throw new RangeError(`a drawing uses the colour "${text}", which printed reports do not know`);
  return named;
}
