/**
 * A plain plot as a whole SVG: axes with round ticks, lines, points and bars, in colours that also differ in lightness.
 *
 * Frame   data units on both axes; y upwards. The caller gives the spans, so that plots that belong together can share them.
 */
import { coordinate, escapeText } from './markup.ts';

export type PlotSeries = Readonly<{
  label: string;
  kind: 'points' | 'line' | 'dashes' | 'steps';
  /** Place in PLOT_COLOURS. */
  colour: number;
  points: readonly (readonly [x: number, y: number])[];
}>;

export type Plot = Readonly<{
  title: string;
  xLabel: string;
  yLabel: string;
  x: readonly [number, number];
  y: readonly [number, number];
  series: readonly PlotSeries[];
}>;

/** Okabe & Ito's set for colour-blind readers (jfly.uni-koeln.de/color, 2008): blue, vermilion, green, orange, and black for what is only a guide. */
export const PLOT_COLOURS = ['#0072b2', '#d55e00', '#009e73', '#e69f00', '#333333'] as const;

const WIDTH = 560;
const HEIGHT = 400;
const MARGIN = { left: 62, right: 16, top: 34, bottom: 92 };

/** Ticks at 1, 2 or 5 times a power of ten, about six of them. */
export function ticksOf([low, high]: readonly [number, number]): number[] {
  const raw = (high - low) / 6;
  const power = 10 ** Math.floor(Math.log10(raw));
  const step = power * ([1, 2, 5, 10].find((each) => each * power >= raw) ?? 10);
  const out: number[] = [];
  for (let k = Math.ceil(low / step - 1e-9); k * step <= high + 1e-9 * step; k++) out.push(Number((k * step).toPrecision(12)));
  return out;
}

export function plotSvg({ title, xLabel, yLabel, x, y, series }: Plot): string {
  const inner = { width: WIDTH - MARGIN.left - MARGIN.right, height: HEIGHT - MARGIN.top - MARGIN.bottom };
  const px = (value: number): number => MARGIN.left + ((value - x[0]) / (x[1] - x[0])) * inner.width;
  const py = (value: number): number => MARGIN.top + (1 - (value - y[0]) / (y[1] - y[0])) * inner.height;
  const at = (a: number, b: number): string => `${coordinate(px(a))} ${coordinate(py(b))}`;
  const axes = [
    ...ticksOf(x).map(
      (value) =>
        `<path d="M${at(value, y[0])}L${at(value, y[1])}" stroke="#ddd"/><text x="${coordinate(px(value))}" y="${HEIGHT - MARGIN.bottom + 16}" text-anchor="middle">${number(value)}</text>`,
    ),
    ...ticksOf(y).map(
      (value) =>
        `<path d="M${at(x[0], value)}L${at(x[1], value)}" stroke="#ddd"/><text x="${MARGIN.left - 7}" y="${coordinate(py(value) + 4)}" text-anchor="end">${number(value)}</text>`,
    ),
    `<path d="M${at(x[0], y[1])}L${at(x[0], y[0])}L${at(x[1], y[0])}" stroke="#333" fill="none"/>`,
    `<text x="${MARGIN.left + inner.width / 2}" y="${HEIGHT - MARGIN.bottom + 34}" text-anchor="middle">${escapeText(xLabel)}</text>`,
    `<text transform="translate(14 ${MARGIN.top + inner.height / 2}) rotate(-90)" text-anchor="middle">${escapeText(yLabel)}</text>`,
  ];
  const drawn = series.map(({ kind, colour, points }) => {
    const ink = PLOT_COLOURS[colour];
    if (kind === 'points')
      return points
        .map(([a, b]) => `<circle cx="${coordinate(px(a))}" cy="${coordinate(py(b))}" r="3" fill="${ink}" fill-opacity="0.6"/>`)
        .join('');
    const path = points
      .map(([a, b], i) => (i === 0 ? `M${at(a, b)}` : kind === 'steps' ? `V${coordinate(py(b))}H${coordinate(px(a))}` : `L${at(a, b)}`))
      .join('');
    return `<path d="${path}" fill="none" stroke="${ink}" stroke-width="1.6"${kind === 'dashes' ? ' stroke-dasharray="5 4"' : ''}/>`;
  });
  const legend = series.map(({ label, colour, kind }, i) => {
    const [left, top] = [MARGIN.left + (i % 2) * 250, HEIGHT - MARGIN.bottom + 50 + 15 * Math.floor(i / 2)];
    const mark =
      kind === 'points'
        ? `<circle cx="${left + 9}" cy="${top - 4}" r="3.5" fill="${PLOT_COLOURS[colour]}"/>`
        : `<path d="M${left} ${top - 4}h18" stroke="${PLOT_COLOURS[colour]}" stroke-width="2"${kind === 'dashes' ? ' stroke-dasharray="5 4"' : ''}/>`;
    return `${mark}<text x="${left + 24}" y="${top}">${escapeText(label)}</text>`;
  });
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}" role="img" font-family="sans-serif" font-size="11.5" fill="#222">` +
    `<title>${escapeText(title)}</title><rect width="${WIDTH}" height="${HEIGHT}" fill="#fff"/>` +
    `<text x="${MARGIN.left}" y="20" font-size="13.5" font-weight="bold">${escapeText(title)}</text>` +
    `${axes.join('')}${drawn.join('')}${legend.join('')}</svg>\n`
  );
}

const number = (value: number): string => String(value).replace('-', '\u2212');
