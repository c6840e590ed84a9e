/** People's eyes: agreement of raters, and how well the measured change tells what they call worse. */
import type { Block } from '#lib/report/pdf/blocks.ts';
import { DECIDING_METRICS, METRICS } from '#shared/comparison.ts';
import { isAnswered, type StudyReport } from '#shared/study.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import { rocFigure } from './roc-figure.ts';
import { refusalsBlock, right, titleOf } from './section-parts.ts';
import { changeNumber, percent, withStudyUnit } from './study-words.ts';

const target = (zone: ZoneId | null): string => (zone === null ? 'Whole face' : zoneLabel(zone));
const number = (value: number): string => value.toFixed(2).replace('-', '\u2212');
const range = ([low, high]: readonly [number, number]): string => `${number(low)} to ${number(high)}`;

export function ratersSection({ raters: { kappa, reliability, roc } }: StudyReport): Block[] {
  const heading: Block = { kind: 'heading', level: 2, text: 'Raters' };
  if (kappa.length + reliability.length + roc.length === 0) return [heading, { kind: 'paragraph', words: 'The series holds no ratings.' }];
  const agreed = kappa.filter(isAnswered);
  const reliable = reliability.filter(isAnswered);
  return [
    heading,
    ...(agreed.length > 0
      ? [
          {
            kind: 'table',
            caption: 'Agreement of every two raters: weighted kappa with 95 % interval',
            rowHeads: 0,
            columns: [
              { head: 'Graded', share: 2 },
              { head: 'Raters', share: 2 },
              right('Subjects', 1),
              right('Same grade', 1.1),
              right('Linear weights', 2.3),
              right('Quadratic weights', 2.3),
            ],
            rows: agreed.map(({ zone, answer }) => ({
              cells: [
                target(zone),
                answer.raters.join(' and '),
                String(answer.rated),
                percent(answer.same),
                `${number(answer.linear.value)} (${range(answer.linear.ci95)})`,
                `${number(answer.quadratic.value)} (${range(answer.quadratic.ci95)})`,
              ],
            })),
          } satisfies Block,
        ]
      : refusalsBlock(kappa)),
    ...(reliable.length > 0
      ? [
          {
            kind: 'table',
            caption: 'Intraclass correlation of the grades, by form',
            rowHeads: 0,
            columns: [
              { head: 'Graded', share: 1.7 },
              { head: 'Form', share: 1.8 },
              { head: 'Model and definition', share: 3.4 },
              right('Subjects', 1),
              right('Value (95 % interval)', 2.2),
              { head: 'Band', share: 1.7 },
            ],
            rows: reliable.flatMap(({ zone, answer }) =>
              answer.forms.map(({ form, mcGrawWong, model, type, definition, value, ci95, band }) => ({
                cells: [
                  target(zone),
                  `${form}, ${mcGrawWong}`,
                  `${model}, ${definition}, ${type.replace('k readings', `${answer.readings} raters`)}`,
                  String(answer.subjects),
                  `${number(value)} (${range(ci95)})`,
                  band,
                ],
              })),
            ),
          } satisfies Block,
        ]
      : []),
    ...rocBlocks(roc),
  ];
}

function rocBlocks(roc: StudyReport['raters']['roc']): Block[] {
  const answered = roc.filter(isAnswered);
  const heading: Block = { kind: 'heading', level: 3, text: 'Does the measured change tell what raters call worse?' };
  if (answered.length === 0) return roc.length > 0 ? [heading, ...refusalsBlock(roc)] : [];
  const whole = DECIDING_METRICS.flatMap((metric) => answered.filter((row) => row.zone === null && row.metric === metric));
  return [
    heading,
    ...(whole.length > 0
      ? [
          {
            kind: 'figures',
            across: 2,
            figures: whole.map((row) => {
              const svg = rocFigure(row.metric, row);
              return {
                picture: { svg, alt: titleOf(svg) },
                caption: `${METRICS[row.metric].label}, all rated zones: area ${areaText(row.answer)}. Diamond: the best cut.`,
              };
            }),
          } satisfies Block,
        ]
      : []),
    {
      kind: 'table',
      caption: 'Loss or darkening against a majority of raters that graded worse',
      rowHeads: 0,
      columns: [
        { head: 'Zone', share: 2 },
        { head: 'Metric', share: 1.2 },
        right('Worse and not', 1.4),
        right('Area (95 % interval)', 2.2),
        right('Best cut', 1.4),
        right('Found', 2),
        right('Cleared', 2),
      ],
      rows: answered.map(({ zone, metric, answer }) => ({
        cells: [
          zone === null ? 'All rated zones' : zoneLabel(zone),
          METRICS[metric].label,
          `${answer.positives} and ${answer.negatives}`,
          areaText(answer),
          withStudyUnit(changeNumber(metric, 'linear', answer.cut.value), metric, 'linear'),
          `${percent(answer.cut.sensitivity)} (${percent(answer.cut.sensitivityCi95[0])} to ${percent(answer.cut.sensitivityCi95[1])})`,
          `${percent(answer.cut.specificity)} (${percent(answer.cut.specificityCi95[0])} to ${percent(answer.cut.specificityCi95[1])})`,
        ],
      })),
    },
  ];
}

const areaText = ({ area, ci95 }: Readonly<{ area: number; ci95: readonly [number, number] | null }>): string =>
  `${area.toFixed(3)} (${ci95 ? ci95.map((end) => end.toFixed(3)).join(' to ') : 'no interval'})`;
