/** Groups against each other, and the course over time. */
import type { Block } from '#lib/report/pdf/blocks.ts';
import { DECIDING_METRICS, METRICS } from '#shared/comparison.ts';
import { type GroupQuestion, isAnswered, type StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { courseFigure } from './course-figure.ts';
import { figureBlock, metricHead, refusalsBlock, right } from './section-parts.ts';
import { changeInterval, changeNumber, pText, withStudyUnit } from './study-words.ts';

const ASKED: Readonly<Record<GroupQuestion, string>> = {
  'whole-change': 'whole change from the baseline',
  'after-first': 'after the first follow-up, which is the covariate',
};

export function groupsSection({ groups }: StudyReport): Block[] {
  const heading: Block = { kind: 'heading', level: 2, text: 'Groups compared' };
  if (!groups.some(isAnswered)) return [heading, ...refusalsBlock(groups)];
  const tables = (Object.keys(ASKED) as GroupQuestion[]).flatMap((question) =>
    DECIDING_METRICS.flatMap((metric): Block[] => {
      const rows = groups.filter((row) => row.metric === metric && row.question === question).filter(isAnswered);
      if (rows.length === 0) return [];
      return [
        {
          kind: 'table',
          caption: `${metricHead(metric)}: ${ASKED[question]}${rows[0].answer.covariate && question === 'whole-change' ? `, with ${rows[0].answer.covariate.name} as covariate` : ''}`,
          rowHeads: 0,
          columns: [
            { head: 'Zone', share: 2.2 },
            { head: 'Difference of', share: 2.2 },
            right('n', 1),
            right('Difference (95 % interval)', 3.1),
            right('Hedges\u2019 g', 0.9),
            right('p', 0.9),
            right('p groups, Holm', 1.2),
          ],
          rows: rows.flatMap(({ zone, scale, reference, answer }) =>
            answer.differences.map((one) => ({
              shaded: reference,
              cells: [
                zoneLabel(zone),
                `${one.group} less ${one.against}`,
                [one.group, one.against].map((name) => answer.groups.find(({ group }) => group === name)?.n ?? 0).join(' and '),
                `${changeNumber(metric, scale, one.value)} (${changeInterval(metric, scale, one.ci95)})`,
                one.hedges === null ? '' : one.hedges.toFixed(2).replace('-', '\u2212'),
                pText(one.p),
                pText(answer.pHolm),
              ],
            })),
          ),
        },
      ];
    }),
  );
  return [
    heading,
    {
      kind: 'paragraph',
      words:
        'A pair measures change already, so two questions are kept apart. The whole change compares groups from their baseline photographs on. After the first follow-up, what differed at that follow-up is taken off as a covariate: it answers whether the groups went different ways from there.',
    },
    ...tables,
  ];
}

const MOST_PANELS = 9;

export function courseSection({ course }: StudyReport): Block[] {
  const heading: Block = { kind: 'heading', level: 2, text: 'Course over time' };
  if (!course.some(isAnswered)) return [heading, ...refusalsBlock(course)];
  return [
    heading,
    ...DECIDING_METRICS.flatMap((metric): Block[] => {
      const rows = course.filter((row) => row.metric === metric).filter(isAnswered);
      if (rows.length === 0) return [];
      // Zones whose means lie furthest from 0 for their intervals are drawn; the table has all.
      const drawn = new Set(rows.toSorted((a, b) => weight(b) - weight(a)).slice(0, MOST_PANELS));
      const trends = rows.filter(({ answer }) => answer.trend);
      return [
        figureBlock(
          courseFigure(metric, rows.filter((row) => drawn.has(row))), // biome-ignore format: a line
          `${metricHead(metric)}: means of subjects with 95 % intervals at each follow-up.${rows.length > MOST_PANELS ? ` The ${MOST_PANELS} zones that moved most for their error are drawn.` : ''}`,
        ),
        ...(trends.length > 0
          ? [
              {
                kind: 'table',
                caption: `${METRICS[metric].label}: mean of the subjects\u2019 own slopes, per 30 days`,
                rowHeads: 0,
                columns: [
                  { head: 'Zone', share: 2.4 },
                  right('Subjects', 1),
                  right('Slope per 30 days (95 % interval)', 3.4),
                  right('p', 1),
                ],
                rows: trends.map(({ zone, scale, reference, answer: { trend } }) => ({
                  shaded: reference,
                  cells: [
                    zoneLabel(zone),
                    String(trend!.subjects),
                    withStudyUnit(
                      `${changeNumber(metric, scale, 30 * trend!.perDay)} (${changeInterval(metric, scale, [30 * trend!.ci95[0], 30 * trend!.ci95[1]])})`,
                      metric,
                      scale,
                    ),
                    pText(trend!.p),
                  ],
                })),
              } satisfies Block,
            ]
          : []),
      ];
    }),
  ];
}

const weight = ({ answer }: Extract<StudyReport['course'][number], unknown>): number =>
  answer.ok
    ? Math.max(...answer.points.map(({ mean, ci95 }) => (ci95 && ci95[1] > ci95[0] ? Math.abs(mean) / (ci95[1] - ci95[0]) : 0)))
    : 0;
