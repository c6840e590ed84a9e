/**
 * The forest: the mean change of every zone with its interval, in one column. A filled diamond is a change that survives the correction for many zones,
 * an open circle one that does not, a dash a reference zone, which is not tested.
 */
import * as Plot from '@observablehq/plot';
import { METRICS, type MetricId } from '#shared/comparison.ts';
import { unitText } from '#shared/numbers.ts';
import type { Answered, StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { FIGURE_INK, FIGURE_LINE, FIGURE_SOFT, GAIN, LOSS, plotFigure } from './study-plot.ts';
import { changeInterval, changeNumber } from './study-words.ts';

export type ForestRow = Answered<StudyReport['change'][number]>;

export function forestFigure(metric: MetricId, rows: readonly ForestRow[]): string {
  const scale = rows[0].scale;
  const shown = rows.map(({ zone, reference, answer }) => {
    const firm = answer.pHolm !== null && answer.pHolm < 0.05;
    return {
      zone: zoneLabel(zone) + (reference ? ' (reference)' : ''),
      reference,
      firm,
      mean: answer.mean,
      low: answer.ci95[0],
      high: answer.ci95[1],
      ink: reference ? FIGURE_SOFT : firm ? (answer.mean < 0 ? LOSS : GAIN) : FIGURE_INK,
      n: String(answer.subjects),
      text: `${changeNumber(metric, scale, answer.mean)} (${changeInterval(metric, scale, answer.ci95)})`,
    };
  });
  const heights = 19;
  const head = [{ zone: shown[0].zone }];
  const right = { frameAnchor: 'right', textAnchor: 'end', fontSize: 10.5 } as const;
  return plotFigure(
    {
      width: 720,
      height: 62 + heights * shown.length,
      marginLeft: 150,
      marginRight: 232,
      marginTop: 26,
      marginBottom: 36,
      x: {
        label: `mean change${scale === 'log' ? ', natural logarithm' : `, ${unitText(METRICS[metric].unit)}`} (loss left, gain right)`,
        labelArrow: 'none',
        labelAnchor: 'center',
        nice: true,
        ticks: 6,
      },
      y: { label: null, domain: shown.map(({ zone }) => zone), tickSize: 0 },
      marks: [
        Plot.gridX({ ticks: 6, stroke: FIGURE_LINE, strokeOpacity: 1 }),
        Plot.ruleX([0], { stroke: FIGURE_INK }),
        Plot.link(shown, { x1: 'low', x2: 'high', y1: 'zone', y2: 'zone', stroke: 'ink', strokeWidth: 1.6 }),
        Plot.dot(shown.filter(({ firm }) => firm), { x: 'mean', y: 'zone', fill: 'ink', symbol: 'diamond', r: 4.6 }), // biome-ignore format: a mark
        Plot.dot(shown.filter(({ firm, reference }) => !firm && !reference), { x: 'mean', y: 'zone', fill: '#ffffff', stroke: 'ink', r: 3.6 }), // biome-ignore format: a mark
        Plot.dot(shown.filter(({ reference }) => reference), { x: 'mean', y: 'zone', fill: 'ink', symbol: 'square', r: 2.6 }), // biome-ignore format: a mark
        Plot.text(shown, { ...right, y: 'zone', text: 'text', dx: 226 }),
        Plot.text(shown, { ...right, y: 'zone', text: 'n', dx: 34 }),
        Plot.text(head, { ...right, y: 'zone', text: () => 'mean (95 % interval)', dx: 226, dy: -17, fill: FIGURE_SOFT }),
        Plot.text(head, { ...right, y: 'zone', text: () => 'n', dx: 34, dy: -17, fill: FIGURE_SOFT }),
      ],
    },
    `${METRICS[metric].label}, mean change by zone with 95 % interval. ${shown.map(({ zone, text, n }) => `${zone}: ${text}, n ${n}`).join('; ')}.`,
  );
}
