/** The course over time: means at each follow-up with intervals, a panel for each zone, groups apart by colour, shape and place. */
import * as Plot from '@observablehq/plot';
import { METRICS, type MetricId } from '#shared/comparison.ts';
import { unitText } from '#shared/numbers.ts';
import type { Answered, StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { FIGURE_INK, FIGURE_LINE, FIGURE_SOFT, GROUP_COLOURS, GROUP_SYMBOLS, plotFigure } from './study-plot.ts';
import { changeNumber } from './study-words.ts';

export type CourseRow = Answered<StudyReport['course'][number]>;

const ACROSS = 3;
/** Of a group's name in the legend; the tables have it whole. */
const MOST_LETTERS = 15;

export function courseFigure(metric: MetricId, rows: readonly CourseRow[]): string {
  const groups = [...new Set(rows.flatMap(({ answer }) => answer.points.map(({ group }) => group)))];
  const dated = rows.every(({ answer }) => answer.points.every(({ days }) => days !== null));
  const visits = [...new Set(rows.flatMap(({ answer }) => answer.points.map(({ visit }) => visit)))];
  const spread = dated ? Math.max(...rows.flatMap(({ answer }) => answer.points.map(({ days }) => days!))) / 60 : 0.06;
  const shown = rows.flatMap(({ zone, answer }, k) =>
    answer.points.map((point) => {
      const which = groups.indexOf(point.group);
      // Groups stand a little apart, or their intervals would cover each other.
      const x = (dated ? point.days! : visits.indexOf(point.visit) + 1) + (which - (groups.length - 1) / 2) * spread;
      return {
        across: k % ACROSS,
        down: Math.floor(k / ACROSS),
        zone: zoneLabel(zone),
        group: point.group ?? 'all',
        which,
        x,
        mean: point.mean,
        low: point.ci95?.[0] ?? point.mean,
        high: point.ci95?.[1] ?? point.mean,
      };
    }),
  );
  const names = rows.map(({ zone }, k) => ({ across: k % ACROSS, down: Math.floor(k / ACROSS), zone: zoneLabel(zone) }));
  const facet = { fx: 'across', fy: 'down' } as const;
  const legend = groups.length > 1 ? groups.map((group, which) => ({ group: group ?? 'no group', which })) : [];
  return plotFigure(
    {
      width: 720,
      height: 46 + 150 * Math.ceil(rows.length / ACROSS) + 18,
      marginLeft: 52,
      marginRight: 8,
      marginTop: 26 + (legend.length > 0 ? 14 : 0),
      marginBottom: 38,
      fx: { axis: null, padding: 0.08 },
      fy: { axis: null, padding: 0.22 },
      x: { label: dated ? 'days since the photographs before' : `follow-up: ${visits.map((visit, k) => `${k + 1} ${visit}`).join(', ')}`, labelArrow: 'none', labelAnchor: 'center', ticks: dated ? 4 : visits.map((_, k) => k + 1), tickFormat: (value: number) => String(value), inset: 8 }, // biome-ignore format: an axis
      y: { label: null, ticks: 4, nice: true },
      color: { domain: groups.map((_, which) => which), range: [...GROUP_COLOURS].slice(0, groups.length) },
      symbol: { domain: groups.map((_, which) => which), range: [...GROUP_SYMBOLS].slice(0, groups.length) },
      marks: [
        Plot.gridY({ stroke: FIGURE_LINE, strokeOpacity: 1 }),
        Plot.ruleY([0], { stroke: FIGURE_SOFT }),
        Plot.text(names, { ...facet, text: 'zone', frameAnchor: 'top-left', dy: -14, dx: 0, textAnchor: 'start', fontWeight: 'bold' }),
        Plot.line(shown, { ...facet, x: 'x', y: 'mean', stroke: 'which', z: 'which', strokeWidth: 1.2 }),
        Plot.link(shown, { ...facet, x1: 'x', x2: 'x', y1: 'low', y2: 'high', stroke: 'which', strokeWidth: 1.6 }),
        Plot.dot(shown, { ...facet, x: 'x', y: 'mean', fill: 'which', stroke: 'which', symbol: 'which', r: 3.4 }),
        ...legend.flatMap(({ group, which }) => [
          Plot.dot([0], {
            frameAnchor: 'top-left',
            facetAnchor: 'top-left',
            dx: 4 + 110 * which,
            dy: -31,
            fill: GROUP_COLOURS[which],
            symbol: GROUP_SYMBOLS[which],
            r: 3.6,
          }),
          Plot.text([0], {
            frameAnchor: 'top-left',
            facetAnchor: 'top-left',
            text: () => (group.length > MOST_LETTERS ? `${group.slice(0, MOST_LETTERS - 1)}\u2026` : group),
            dx: 12 + 110 * which,
            dy: -31,
            textAnchor: 'start',
            lineAnchor: 'middle',
            fill: FIGURE_INK,
          }),
        ]),
      ],
    },
    `${METRICS[metric].label}, ${unitText(METRICS[metric].unit)}, at each follow-up. ${rows.map(({ zone, scale, answer }) => `${zoneLabel(zone)}: ${answer.points.map((point) => `${point.visit}${point.group ? ` ${point.group}` : ''} ${changeNumber(metric, scale, point.mean)}`).join(', ')}`).join('; ')}.`,
  );
}
