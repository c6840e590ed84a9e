/** Did zones change: the forest and its table for the metrics that decide, one table for all others. */
import type { Block, Row } from '#lib/report/pdf/blocks.ts';
import { DECIDING_METRICS, METRIC_IDS, METRICS, type MetricId } from '#shared/comparison.ts';
import { isAnswered, type StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { type ForestRow, forestFigure } from './forest-figure.ts';
import { figureBlock, isDeciding, metricHead, refusalsBlock, right } from './section-parts.ts';
import { changeInterval, changeNumber, percent, pText } from './study-words.ts';

export function changeSection({ change }: StudyReport): Block[] {
  const heading: Block = { kind: 'heading', level: 2, text: 'Change from the baseline' };
  const answered = change.filter(isAnswered);
  if (answered.length === 0) return [heading, ...refusalsBlock(change.filter(({ metric }) => isDeciding(metric)))];
  return [
    heading,
    {
      kind: 'paragraph',
      words:
        'One value a subject. The sign-flip test decides and is corrected for the number of zones (Holm; BH is Benjamini and Hochberg\u2019s false-discovery rate); Student\u2019s t and Wilcoxon\u2019s test stand beside it. Shaded rows are reference zones: a negative control, not corrected.',
    },
    ...DECIDING_METRICS.flatMap((metric) =>
      metricBlocks(
        metric,
        answered.filter((row) => row.metric === metric),
      ),
    ),
    ...otherMetrics(answered),
  ];
}

function metricBlocks(metric: MetricId, rows: readonly ForestRow[]): Block[] {
  if (rows.length === 0) return [];
  return [
    figureBlock(
      forestFigure(metric, rows),
      `${METRICS[metric].label}: mean change with 95 % interval. Filled diamond: survives Holm\u2019s correction; open circle: does not; small square: reference zone, not tested.`,
    ),
    {
      kind: 'table',
      caption: `${metricHead(metric)}: change of subjects from the baseline`,
      rowHeads: 0,
      columns: [
        { head: 'Zone', share: 2.3 },
        right('n', 0.6),
        right('Mean', 1),
        right('SD', 0.8),
        right('Hedges\u2019 g (95 % interval)', 2.9),
        right('p sign flip', 1.1),
        right('p t', 1.1),
        right('p Wilcoxon', 1.4),
        right('p Holm', 1.1),
        right('p BH', 1.1),
        right('Beyond error', 1.2),
      ],
      rows: rows.map((row) => changeRow(metric, row)),
    },
  ];
}

function changeRow(metric: MetricId, { zone, scale, reference, answer }: ForestRow): Row {
  const g = answer.effect;
  return {
    shaded: reference,
    cells: [
      zoneLabel(zone),
      String(answer.subjects),
      changeNumber(metric, scale, answer.mean),
      answer.sd.toFixed(2),
      `${number(g.hedges)} (${number(g.hedgesCi95[0])} to ${number(g.hedgesCi95[1])})`,
      pText(answer.signFlip.p),
      pText(answer.t.p),
      pText(answer.signedRank?.p ?? null),
      pText(answer.pHolm),
      pText(answer.pBh),
      percent(answer.beyondError.share),
    ],
  };
}

const number = (value: number): string => value.toFixed(2).replace('-', '\u2212');

function otherMetrics(answered: readonly ForestRow[]): Block[] {
  const rows = METRIC_IDS.filter((metric) => !isDeciding(metric)).flatMap((metric) => answered.filter((row) => row.metric === metric));
  if (rows.length === 0) return [];
  return [
    { kind: 'heading', level: 3, text: 'Metrics that describe' },
    {
      kind: 'table',
      caption: 'Change of subjects from the baseline; ratios as geometric means',
      rowHeads: 1,
      columns: [
        { head: 'Metric', share: 2 },
        { head: 'Zone', share: 2.2 },
        right('n', 0.6),
        right('Mean (95 % interval)', 3),
        right('p sign flip', 1.1),
        right('p Holm', 1),
        right('p BH', 1),
      ],
      rows: rows.map(({ metric, zone, scale, reference, answer }) => ({
        shaded: reference,
        cells: [
          metricHead(metric, scale),
          zoneLabel(zone),
          String(answer.subjects),
          `${changeNumber(metric, scale, answer.mean)} (${changeInterval(metric, scale, answer.ci95)})`,
          pText(answer.signFlip.p),
          pText(answer.pHolm),
          pText(answer.pBh),
        ],
      })),
    },
  ];
}
