/**
 * Agreement of repeats after Bland and Altman: every difference between two photographs of one visit, zone by zone, with bias and limits and the
 * intervals of the limits. A pair gives a difference only and no two readings to take a mean of, so zones stand where usually the mean does.
 */
import * as Plot from '@observablehq/plot';
import { METRICS, type MetricId } from '#shared/comparison.ts';
import { unitText } from '#shared/numbers.ts';
import type { Answered, StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { FIGURE_INK, FIGURE_LINE, FIGURE_SOFT, LOSS, plotFigure } from './study-plot.ts';
import { changeInterval, changeNumber } from './study-words.ts';

export type AgreementRow = Answered<StudyReport['repeatability'][number]>;

/** Rows without limits are left out; null when none has any. */
export function agreementFigure(metric: MetricId, rows: readonly AgreementRow[]): string | null {
  const shown = rows.flatMap(({ zone, scale, answer: { agreement, differences } }) =>
    agreement ? [{ zone: zoneLabel(zone), scale, agreement, differences }] : [],
  );
  if (shown.length === 0) return null;
  const limits = shown.flatMap(({ zone, agreement }) => [
    { zone, at: agreement.limits[0], low: agreement.lowerCi95[0], high: agreement.lowerCi95[1] },
    { zone, at: agreement.limits[1], low: agreement.upperCi95[0], high: agreement.upperCi95[1] },
  ]);
  const height = 21;
  return plotFigure(
    {
      width: 720,
      height: 58 + height * shown.length,
      marginLeft: 150,
      marginRight: 16,
      marginTop: 8,
      marginBottom: 40,
      x: {
        label: `difference between repeats, ${unitText(METRICS[metric].unit)}`,
        labelArrow: 'none',
        labelAnchor: 'center',
        nice: true,
        ticks: 8,
      },
      y: { label: null, domain: shown.map(({ zone }) => zone), tickSize: 0, padding: 0.3 },
      marks: [
        Plot.gridX({ ticks: 8, stroke: FIGURE_LINE, strokeOpacity: 1 }),
        Plot.barX(limits, { x1: 'low', x2: 'high', y: 'zone', fill: '#c9d9e8' }),
        Plot.tickX(limits, { x: 'at', y: 'zone', stroke: LOSS, strokeWidth: 2 }),
        Plot.ruleX([0], { stroke: FIGURE_INK }),
        Plot.dot(shown.flatMap(({ zone, differences }) => differences.map((difference) => ({ zone, difference }))), { x: 'difference', y: 'zone', r: 2, fill: FIGURE_SOFT, fillOpacity: 0.55 }), // biome-ignore format: a mark
        Plot.tickX(shown, {
          x: ({ agreement }) => agreement.bias,
          y: 'zone',
          stroke: FIGURE_INK,
          strokeWidth: 2.4,
          insetTop: 3,
          insetBottom: 3,
        }),
      ],
    },
    `${METRICS[metric].label}, differences between repeats with bias and limits of agreement. ${shown.map(({ zone, scale, agreement }) => `${zone}: bias ${changeNumber(metric, scale, agreement.bias)}, limits ${changeInterval(metric, scale, agreement.limits)}`).join('; ')}.`,
  );
}
