/**
 * Where the data went, as boxes from the top down, what fell out to the right: the manner of CONSORT and STARD flow charts, drawn by hand since no plot
 * has boxes of words.
 */

import { coordinate, escapeText } from '#lib/report/markup.ts';
import type { StudyFlow } from '#shared/study.ts';
import { FIGURE_INK, FIGURE_SOFT } from './study-plot.ts';
import { counted } from './study-words.ts';

type Box = Readonly<{ lines: readonly string[]; aside: readonly string[] }>;

const WIDTH = 720;
const MAIN = { x: 14, width: 322 } as const;
const SIDE = { x: 388, width: 318 } as const;
const LINE = 15;
const PAD = 9;
const GAP = 22;
/** Reasons that are named; the rest are summed. */
const MOST_REASONS = 6;

export function flowFigure(flow: StudyFlow): string {
  const boxes = boxesOf(flow);
  let y = 6;
  const parts: string[] = [];
  boxes.forEach(({ lines, aside }, k) => {
    const height = heightOf(lines);
    parts.push(box(MAIN, y, lines));
    const sideHeight = aside.length > 0 ? heightOf(aside) : 0;
    const next = y + Math.max(height + GAP, aside.length > 0 ? height + 12 + sideHeight + 12 : 0);
    const centre = MAIN.x + MAIN.width / 2;
    if (aside.length > 0) {
      const sideTop = y + height + 12;
      const middle = sideTop + sideHeight / 2;
      parts.push(arrow(centre, middle, SIDE.x, middle), box(SIDE, sideTop, aside, true));
    }
    if (k + 1 < boxes.length) parts.push(arrow(centre, y + height, centre, next));
    y = k + 1 < boxes.length ? next : y + Math.max(height, aside.length > 0 ? height + 12 + sideHeight : 0);
  });
  const height = Math.ceil(y + 8);
  const words = boxes
    .map(({ lines, aside }) => [...lines, ...(aside.length > 0 ? [`left out: ${aside.join(', ')}`] : [])].join(', '))
    .join('; then ');
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${height}" width="${WIDTH}" height="${height}" role="img" fill="${FIGURE_INK}" ` +
    `font-family="system-ui, sans-serif" font-size="11.5"><title>${escapeText(`Flow of the data: ${words}.`)}</title>${parts.join('')}</svg>`
  );
}

function boxesOf(flow: StudyFlow): Box[] {
  const { change, repeat } = flow;
  const groups = flow.groups.filter(({ group }) => group !== null);
  const judged = flow.zones.reduce((total, { assessable }) => total + assessable, 0);
  const asked = flow.zones.reduce((total, { pairs }) => total + pairs, 0);
  const fell = (part: StudyFlow['change'], state: 'not-comparable' | 'failed'): number =>
    state === 'failed' ? part.failed : part.notComparable;
  const outOf = (state: 'not-comparable' | 'failed', what: string): string[] => {
    const count = fell(change, state) + fell(repeat, state);
    if (count === 0) return [];
    const reasons = flow.reasons.filter((one) => one.state === state);
    const named = reasons.slice(0, MOST_REASONS).map(({ reason, pairs }) => `   ${reason.replaceAll('-', ' ')}: ${pairs}`);
    return [
      `${counted(count, 'pair')} ${what}`,
      ...named,
      ...(reasons.length > MOST_REASONS ? [`   ${counted(reasons.length - MOST_REASONS, 'further reason')}`] : []),
    ];
  };
  const untrusted = change.untrusted + repeat.untrusted;
  const leftOut = change.measured - change.used + repeat.measured - repeat.used;
  return [
    {
      lines: [
        `${counted(flow.subjects, 'subject')}, ${counted(flow.visits, 'visit')}`,
        ...groups.slice(0, MOST_REASONS).map(({ group, subjects }) => `${clipped(group!, 40)}: ${subjects}`),
        ...(groups.length > MOST_REASONS ? [`and ${counted(groups.length - MOST_REASONS, 'further group')}`] : []),
      ],
      aside: [],
    },
    {
      lines: ['Pairs of photographs', `change: ${change.pairs}, repeats: ${repeat.pairs}`],
      aside: [...outOf('not-comparable', 'not comparable'), ...outOf('failed', 'failed')],
    },
    {
      lines: ['Pairs measured', `change: ${change.measured}, repeats: ${repeat.measured}`],
      aside:
        untrusted === 0
          ? []
          : [`${counted(untrusted, 'pair')}: reference zones seemed to change`, leftOut > 0 ? '   left out' : '   kept, as asked'],
    },
    {
      lines: [
        'Pairs used',
        `change: ${change.used} from ${counted(change.subjects, 'subject')}`,
        `repeats: ${repeat.used} from ${counted(repeat.subjects, 'subject')}`,
      ],
      aside: asked > judged ? [`${asked - judged} of ${asked} zones not assessable`, '   by zone in the table below'] : [],
    },
    { lines: ['Zones of change pairs assessed', String(judged)], aside: [] },
  ];
}

const heightOf = (lines: readonly string[]): number => lines.length * LINE + 2 * PAD - 3;

function box({ x, width }: Readonly<{ x: number; width: number }>, y: number, lines: readonly string[], soft = false): string {
  const text = lines.map((line, k) => {
    const inset = line.length - line.trimStart().length;
    return `<text x="${coordinate(x + 11 + inset * 4)}" y="${coordinate(y + PAD + 9 + k * LINE)}"${k === 0 ? ' font-weight="600"' : ''}>${escapeText(clipped(line.trim()))}</text>`;
  });
  return `<rect x="${x}" y="${coordinate(y)}" width="${width}" height="${coordinate(heightOf(lines))}" fill="${soft ? '#f4f1ec' : '#ffffff'}" stroke="${soft ? FIGURE_SOFT : FIGURE_INK}"/>${text.join('')}`;
}

/** Labels of groups may be long; a box is not. */
const clipped = (line: string, most = 52): string => (line.length > most ? `${line.slice(0, most - 1)}\u2026` : line);

function arrow(x1: number, y1: number, x2: number, y2: number): string {
  const down = x1 === x2;
  const head = down
    ? `M${coordinate(x2 - 4)} ${coordinate(y2 - 7)}L${coordinate(x2)} ${coordinate(y2)}L${coordinate(x2 + 4)} ${coordinate(y2 - 7)}Z`
    : `M${coordinate(x2 - 7)} ${coordinate(y2 - 4)}L${coordinate(x2)} ${coordinate(y2)}L${coordinate(x2 - 7)} ${coordinate(y2 + 4)}Z`;
  return `<path d="M${coordinate(x1)} ${coordinate(y1)}L${coordinate(x2)} ${coordinate(y2)}" stroke="${FIGURE_INK}" fill="none"/><path d="${head}"/>`;
}
