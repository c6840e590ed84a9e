/**
 * The profile of a set-up for a terminal, in COSMIN's words: what a change must exceed to be more than error, and how surely that is known.
 */
import { FEW_REPEATS } from '#shared/cautions.ts';
import { DECIDING_METRICS, METRIC_IDS, METRICS, type MetricId } from '#shared/comparison.ts';
import { fixed, METRIC_DECIMALS, signed, unitText } from '#shared/numbers.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';
import { ZONE_IDS, zoneLabel } from '#shared/zones.ts';
import { count } from './set-up-words.ts';
import { type Column, textTable, wrap } from './text-table.ts';

const WIDTH = 110;

const column = (head: string, align: Column['align'] = 'right'): Column => ({ head, align });
const ERROR_COLUMNS = [
  column('People'),
  column('Pairs'),
  column('SEM'),
  column('95 % interval', 'left'),
  column('Detectable'),
  column('Added'),
];

export function setUpTable(profile: SetUpProfile): string {
  const lines = wrap(summary(profile), WIDTH);
  for (const metric of DECIDING_METRICS)
    lines.push('', `${METRICS[metric].label} (${unitText(METRICS[metric].unit)}), zone by zone`, ...zoneTable(profile, metric));
  lines.push('', 'All zones together', ...metricTable(profile), '');
  for (const sentence of notes(profile)) lines.push(...wrap(sentence, WIDTH));
  return `${lines.join('\n')}\n`;
}

function summary({ name, pairs, people, leftOut, cameras, views, minutesApart, madeOn }: SetUpProfile): string {
  const out = leftOut.length > 0 ? `; ${count(leftOut.length, 'pair')} left out` : '';
  const apart = minutesApart ? ` The photographs of a pair were taken ${fixed(minutesApart.median, 0)} minutes apart (median).` : '';
  return (
    `Set-up "${name}", ${madeOn}: ${count(pairs, 'pair')} of repeated photographs of ${count(people, 'person', 'people')}${out}. ` +
    `Camera: ${cameras.join(', ') || 'not recorded'}. Views: ${views.map((view) => view.replace('-', ' ')).join(', ')}.${apart}`
  );
}

function zoneTable(profile: SetUpProfile, metric: MetricId): string[] {
  const columns = [
    column('Zone', 'left'),
    ...ERROR_COLUMNS,
    column('Bias'),
    column('Limits of agreement', 'left'),
    column('ICC(2,1)', 'left'),
  ];
  const rows = ZONE_IDS.flatMap((zone) => {
    const error = profile.zones[zone]?.[metric];
    if (!error) return [];
    const { agreement, reliability } = error;
    const write = (value: number): string => signed(value, decimalsOf(metric));
    return [
      [
        zoneLabel(zone),
        ...errorCells(metric, error),
        agreement ? write(agreement.bias) : '',
        agreement ? agreement.limits.map(write).join(' to ') : '',
        reliability ? `${fixed(reliability.icc, 2)} (${reliability.ci95.map((bound) => fixed(bound, 2)).join(' to ')})` : '',
      ],
    ];
  });
  return textTable(columns, rows);
}

function metricTable({ allZones }: SetUpProfile): string[] {
  const rows = METRIC_IDS.flatMap((metric) => {
    const error = allZones[metric];
    return error ? [[METRICS[metric].label, isRatio(metric) ? 'ln' : unitText(METRICS[metric].unit), ...errorCells(metric, error)]] : [];
  });
  return textTable([column('Metric', 'left'), column('Unit', 'left'), ...ERROR_COLUMNS], rows);
}

function errorCells(metric: MetricId, error: NonNullable<SetUpProfile['allZones'][MetricId]>): string[] {
  const write = (value: number): string => fixed(value, decimalsOf(metric));
  const { people, pairs, sem, semCi95, sdc, setUpSd } = error;
  return [String(people), String(pairs), write(sem), semCi95.map(write).join(' to '), write(sdc), write(setUpSd)];
}

function notes({ zones, pairs }: SetUpProfile): string[] {
  const cells = Object.values(zones).flatMap((metrics) => Object.values(metrics));
  const shares = cells.map(({ fromAllZones }) => Math.round(100 * fromAllZones));
  const [least, most] = [Math.min(...shares), Math.max(...shares)];
  return [
    'SEM: standard error of measurement, the within-person standard deviation of one reading, about no change. Detectable: smallest detectable change, 1.96 x root 2 x SEM. ' +
      'Interval of the SEM by chi-square. Bias and limits (Bland & Altman): later less earlier photograph, one pair of each person.',
    'Added: what findings add to the error that a pair states of itself, at the upper end of its interval. A zone with few repeats leans on ' +
      `all zones together, here by ${least === most ? `${least} %` : `${least} to ${most} %`}.`,
    cells.some(({ reliability }) => reliability)
      ? 'ICC(2,1): two-way random effects, absolute agreement, a single reading of the change between two visits.'
      : 'ICC(2,1) is not given: among unchanged faces there are no differences to tell apart. Two visits with a real change, each repeated, give it.',
    ...(pairs < FEW_REPEATS
      ? [`With fewer than ${FEW_REPEATS} pairs these figures are uncertain, as their intervals show; findings widen their limits for it.`]
      : []),
  ];
}

/** One more than a result shows: an error is known to fewer digits than it needs to be compared with. */
const decimalsOf = (metric: MetricId): number => METRIC_DECIMALS[metric] + 1;
const isRatio = (metric: MetricId): boolean => metric.endsWith('Ratio');
