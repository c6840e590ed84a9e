/** The receiver operating characteristic of the measured change against the raters' majority: the curve, chance as a dashed line, the best cut as a diamond. */
import * as Plot from '@observablehq/plot';
import { METRICS, type MetricId } from '#shared/comparison.ts';
import { fixed } from '#shared/numbers.ts';
import type { Answered, StudyReport } from '#shared/study.ts';
import { FIGURE_LINE, FIGURE_SOFT, GROUP_COLOURS, plotFigure } from './study-plot.ts';

export type RocRow = Answered<StudyReport['raters']['roc'][number]>;

export function rocFigure(metric: MetricId, { answer }: RocRow): string {
  const curve = answer.curve.map(([alarms, found]) => ({ alarms, found }));
  const cut = { alarms: 1 - answer.cut.specificity, found: answer.cut.sensitivity };
  const axis = { domain: [0, 1], ticks: [0, 0.2, 0.4, 0.6, 0.8, 1], labelArrow: 'none', labelAnchor: 'center' } as const;
  return plotFigure(
    {
      width: 340,
      height: 340,
      marginLeft: 46,
      marginBottom: 40,
      marginTop: 12,
      marginRight: 12,
      x: { ...axis, label: 'false alarms (1 \u2212 specificity)' },
      y: { ...axis, label: 'found (sensitivity)' },
      marks: [
        Plot.gridX({ stroke: FIGURE_LINE, strokeOpacity: 1 }),
        Plot.gridY({ stroke: FIGURE_LINE, strokeOpacity: 1 }),
        Plot.link([0], { x1: 0, y1: 0, x2: 1, y2: 1, stroke: FIGURE_SOFT, strokeDasharray: '4 4' }),
        Plot.line(curve, { x: 'alarms', y: 'found', stroke: GROUP_COLOURS[0], strokeWidth: 2 }),
        Plot.dot([cut], { x: 'alarms', y: 'found', symbol: 'diamond', fill: GROUP_COLOURS[1], r: 5 }),
      ],
    },
    `ROC of ${METRICS[metric].label.toLowerCase()} against the raters: area ${fixed(answer.area, 3)}; at the best cut ${fixed(100 * answer.cut.sensitivity, 0)} % found with ${fixed(100 * (1 - answer.cut.specificity), 0)} % false alarms.`,
  );
}
