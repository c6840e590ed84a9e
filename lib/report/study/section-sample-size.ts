/** How many subjects the next study needs, from the error alone and from the scatter that was seen. */
import type { Block } from '#lib/report/pdf/blocks.ts';
import { DECIDING_METRICS, METRICS, type MetricId } from '#shared/comparison.ts';
import { withUnit } from '#shared/numbers.ts';
import { isAnswered, type StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { metricHead, refusalsBlock, right } from './section-parts.ts';
import { errorNumber, percent } from './study-words.ts';

const planned = (metric: MetricId, change: number): string => withUnit(String(change), METRICS[metric].unit);
const orDash = (value: number | null): string => (value === null ? '\u2013' : String(value));

export function sampleSizeSection({ sampleSize }: StudyReport): Block[] {
  const heading: Block = { kind: 'heading', level: 2, text: 'Subjects for the next study' };
  const answered = sampleSize.filter(isAnswered).filter(({ reference }) => !reference);
  if (answered.length === 0) return [heading, ...refusalsBlock(sampleSize)];
  return [
    heading,
    {
      kind: 'paragraph',
      words:
        'Subjects that a two-sided test at 0.05 needs to find a mean change with a power of 80 %: the least, if people differed in nothing but error (from the SDC), and with the scatter of changes that was seen here. Subjects that will not be comparable or assessable come on top.',
    },
    ...DECIDING_METRICS.flatMap((metric): Block[] => {
      const rows = answered.filter((row) => row.metric === metric);
      if (rows.length === 0) return [];
      const changes = rows[0].answer.rows.map(({ change }) => change);
      return [
        {
          kind: 'table',
          caption: `${metricHead(metric)}: subjects needed for a mean change of ${changes.map((change) => planned(metric, change)).join(', ')}: error alone / scatter seen / each of two groups`,
          rowHeads: 0,
          columns: [
            { head: 'Zone', share: 2.4 },
            right('SD of error', 1.1),
            right('SD seen', 1),
            ...changes.map((change) => right(planned(metric, change), 2)),
            right(`Power now for ${planned(metric, changes[1])}`, 1.5),
          ],
          rows: rows.map(({ zone, answer }) => ({
            cells: [
              zoneLabel(zone),
              answer.sdOfError === null ? '\u2013' : errorNumber(metric, answer.sdOfError),
              answer.sdSeen === null ? '\u2013' : errorNumber(metric, answer.sdSeen),
              ...answer.rows.map(({ fromError, fromSeen, eachGroup }) => [fromError, fromSeen, eachGroup].map(orDash).join(' / ')),
              answer.rows[1].powerNow === null ? '\u2013' : percent(answer.rows[1].powerNow),
            ],
          })),
        },
      ];
    }),
  ];
}
