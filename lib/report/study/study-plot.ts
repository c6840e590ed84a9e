/**
 * A figure of a study as a whole SVG that needs no style sheet, drawn by Observable Plot on a document that is never shown. Ink and paper are the
 * page's own (app/globals.css); shapes tell what colours tell, so that a figure reads in grey.
 */
import * as Plot from '@observablehq/plot';
import { JSDOM } from 'jsdom';
import { escapeText } from '#lib/report/markup.ts';

export const FIGURE_INK = '#252129';
export const FIGURE_SOFT = '#5c5662';
export const FIGURE_LINE = '#d8d2c7';
export const LOSS = '#0b5394';
export const GAIN = '#8f3a10';
/** Of groups, in their order: apart in lightness and for colour-blind readers (Okabe & Ito, jfly.uni-koeln.de/color, 2008). */
export const GROUP_COLOURS = ['#0072b2', '#d55e00', '#009e73', '#cc79a7', '#e69f00', '#56b4e9'] as const;
export const GROUP_SYMBOLS = ['circle', 'square', 'triangle', 'diamond2', 'star', 'times'] as const;

let page: Document | null = null;

/** `summary` is read out in the figure's place. Same options, same text. */
export function plotFigure(options: Plot.PlotOptions, summary: string): string {
  page ??= new JSDOM('').window.document;
  const drawn = Plot.plot({ document: page, ...options });
  const svg = drawn.outerHTML;
  if (!svg.startsWith('<svg ')) throw new Error('a figure came with more than its drawing');
  // A group of marks has no role that could bear a label; the figure's title says what they show.
  const body = svg
    .slice(svg.indexOf('>') + 1, -'</svg>'.length)
    .replace(/<style>[\s\S]*?<\/style>/, '')
    .replaceAll(' aria-label="', ' data-mark="');
  const [, width, height] = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg)!;
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="${width}" height="${height}" role="img" fill="${FIGURE_INK}" color="${FIGURE_INK}" ` +
    `font-family="system-ui, sans-serif" font-size="11" text-anchor="middle"><title>${escapeText(summary)}</title>${rounded(body)}</svg>`
  );
}

/** Coordinates of more than two decimals say nothing on paper and make the file longer. Words are left as they are. */
const rounded = (svg: string): string =>
  svg.replace(/<[^>]*>/g, (tag) => tag.replace(/-?\d+\.\d{3,}/g, (number) => String(Number(Number(number).toFixed(2)))));
