/** How well the measurement repeats: SEM, smallest detectable change, bias and limits by zone, and the figure of all differences. */
import type { Block } from '#lib/report/pdf/blocks.ts';
import { DECIDING_METRICS, METRICS } from '#shared/comparison.ts';
import { isAnswered, type StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { agreementFigure } from './agreement-figure.ts';
import { figureBlock, metricHead, refusalsBlock, right } from './section-parts.ts';
import { changeInterval, changeNumber, errorWithInterval } from './study-words.ts';

export function repeatabilitySection({ repeatability, reliability }: StudyReport): Block[] {
  const heading: Block = { kind: 'heading', level: 2, text: 'How well the measurement repeats' };
  const answered = repeatability.filter(isAnswered);
  if (answered.length === 0) return [heading, ...refusalsBlock(repeatability)];
  return [
    heading,
    {
      kind: 'paragraph',
      words:
        'From pairs of photographs of one visit, between which nothing changed. SEM is the standard error of measurement; a change of one subject below the smallest detectable change (SDC) cannot be told from error. Bias and limits of agreement are of the later photograph less the earlier.',
    },
    ...DECIDING_METRICS.flatMap((metric): Block[] => {
      const rows = answered.filter((row) => row.metric === metric);
      if (rows.length === 0) return [];
      const figure = agreementFigure(metric, rows);
      return [
        {
          kind: 'table',
          caption: `${metricHead(metric)}: error of a single comparison, with 95 % intervals`,
          rowHeads: 0,
          columns: [
            { head: 'Zone', share: 2.4 },
            right('Subjects', 1),
            right('Pairs', 0.8),
            right('SEM', 2.3),
            right('SDC', 2.3),
            right('Bias', 1),
            right('Limits of agreement', 2.3),
          ],
          rows: rows.map(({ zone, scale, reference, answer }) => ({
            shaded: reference,
            cells: [
              zoneLabel(zone),
              String(answer.subjects),
              String(answer.pairs),
              errorWithInterval(metric, answer.sem, answer.semCi95),
              errorWithInterval(metric, answer.sdc, answer.sdcCi95),
              answer.agreement ? changeNumber(metric, scale, answer.agreement.bias) : '\u2013',
              answer.agreement ? changeInterval(metric, scale, answer.agreement.limits) : 'fewer than 3 subjects',
            ],
          })),
        },
        ...(figure
          ? [
              figureBlock(
                figure,
                `${METRICS[metric].label}: each dot is a difference between two photographs of one visit; black the bias, blue the limits of agreement with their 95 % intervals as bands.`,
              ),
            ]
          : []),
      ];
    }),
    ...reliabilityBlocks(reliability),
  ];
}

function reliabilityBlocks(reliability: StudyReport['reliability']): Block[] {
  const rows = reliability.filter(isAnswered);
  if (rows.length === 0) return [];
  return [
    {
      kind: 'table',
      caption: 'Reliability of a change that was read more than once',
      rowHeads: 0,
      columns: [
        { head: 'Zone', share: 2.2 },
        { head: 'Metric', share: 1.2 },
        right('Subjects', 1),
        { head: 'Form', share: 1.2 },
        right('Value (95 % interval)', 2.2),
        { head: 'Band', share: 1.8 },
      ],
      rows: rows.flatMap(({ zone, metric, answer }) =>
        answer.forms.map(({ form, value, ci95, band }) => ({
          cells: [
            zoneLabel(zone),
            METRICS[metric].label,
            String(answer.subjects),
            form,
            `${value.toFixed(2)} (${ci95.map((end) => end.toFixed(2)).join(' to ')})`,
            band,
          ],
        })),
      ),
    },
  ];
}
