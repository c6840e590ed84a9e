/**
 * The case in time, as a drawing: visits, treatments, complaints and days to review, with the days of expected water loss shaded. Everything
 * it shows stands as text in the sections below, so its own words are a summary.
 */

import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { daysBetween } from '#lib/series/days-between.ts';
import type { CaseFile } from '#shared/case.ts';
import type { TradeFacts } from '#shared/practice.ts';
import css from './case.module.css';

const WIDTH = 960;
const LEFT = 92;
const RIGHT = 944;
const LANES = ['Visits', 'Treatments', 'Complaints', 'Reviews'] as const;
const LANE = 28;
const TOP = 8;
const FOOT = TOP + LANES.length * LANE;
/** Least distance of two labels, px. */
const LABEL = 74;

type Props = { file: Pick<CaseFile, 'visits' | 'treatments' | 'complaints'>; facts: TradeFacts; reviews: readonly string[]; today: string };

export function Timeline({ file: { visits, treatments, complaints }, facts, reviews, today }: Props) {
  const days = [...visits, ...treatments, ...complaints].map(({ on }) => on);
  if (days.length === 0) return null;
  const first = [...days].sort()[0]!;
  const at = (on: string) => daysBetween(first, on);
  const last = Math.max(14, ...[...days, ...reviews].map(at));
  const x = (day: number) => LEFT + 14 + (Math.max(0, Math.min(last, day)) / last) * (RIGHT - LEFT - 28);
  const y = (lane: (typeof LANES)[number]) => TOP + (LANES.indexOf(lane) + 0.5) * LANE;
  const dissolved = treatments.filter(({ purpose }) => purpose === 'gel-dissolved');
  const labels = apart([...new Set(days)].sort(), (on) => x(at(on)));
  const now = at(today);
  return (
    <figure className={css.timeline}>
      <ScrollRegion label="Timeline">
        <svg
          viewBox={`0 0 ${WIDTH} ${FOOT + 26}`}
          role="img"
          aria-label={summary(visits.length, treatments.length, complaints.length, first)}
        >
          {dissolved.map(({ id, on }) => (
            <rect
              key={id}
              className={css.loss}
              x={x(at(on))}
              y={TOP}
              width={x(at(on) + facts.waterLossDays) - x(at(on))}
              height={FOOT - TOP}
            />
          ))}
          {LANES.map((lane) => (
            <g key={lane}>
              <text x={0} y={y(lane) + 4} className={css.lane}>
                {lane}
              </text>
              <line x1={LEFT} x2={RIGHT} y1={y(lane)} y2={y(lane)} className={css.laneLine} />
            </g>
          ))}
          {now >= 0 && now <= last && <line x1={x(now)} x2={x(now)} y1={TOP} y2={FOOT} className={css.now} />}
          {visits.map(({ id, on, baseline }) => (
            <circle key={id} cx={x(at(on))} cy={y('Visits')} r={6} className={baseline ? css.markFull : css.markOpen}>
              <title>{`${on}${baseline ? ', baseline' : ''}`}</title>
            </circle>
          ))}
          {treatments.map(({ id, on, purpose }) => (
            <path
              key={id}
              d={purpose === 'gel-placed' ? triangle(x(at(on)), y('Treatments'), -1) : triangle(x(at(on)), y('Treatments'), 1)}
              className={purpose === 'gel-dissolved' || purpose === 'gel-placed' ? css.markFull : css.markOpen}
            >
              <title>{on}</title>
            </path>
          ))}
          {complaints.map(({ id, on, stage }) => (
            <rect
              key={id}
              x={x(at(on)) - 5.5}
              y={y('Complaints') - 5.5}
              width={11}
              height={11}
              className={stage === 'concluded' ? css.markFull : css.markOpen}
            >
              <title>{on}</title>
            </rect>
          ))}
          {reviews.map((on) => (
            <path key={on} d={`M${x(at(on))} ${y('Reviews') - 7}v14`} className={css.review}>
              <title>{on}</title>
            </path>
          ))}
          <line x1={LEFT} x2={RIGHT} y1={FOOT} y2={FOOT} className={css.axis} />
          {labels.map((on) => (
            <g key={on}>
              <line x1={x(at(on))} x2={x(at(on))} y1={FOOT} y2={FOOT + 4} className={css.axis} />
              <text x={x(at(on))} y={FOOT + 18} textAnchor={x(at(on)) > RIGHT - 34 ? 'end' : 'middle'} className={css.lane}>
                {on}
              </text>
            </g>
          ))}
        </svg>
      </ScrollRegion>
      <figcaption className="small soft">
        Full circle: baseline. Triangle up: gel placed; down: gel dissolved or another treatment. Tick: day to review.
        {dissolved.length > 0 && <> Shaded: {facts.waterLossDays} days in which hollowing from lost water is expected.</>}{' '}
        {(dissolved.length > 0 || reviews.length > 0) && (
          <>Both days are the practice&rsquo;s own (common practice, no published source).</>
        )}
      </figcaption>
    </figure>
  );
}

const triangle = (x: number, y: number, down: 1 | -1): string => `M${x - 7} ${y - 6 * down}h14L${x} ${y + 7 * down}Z`;

function summary(visits: number, treatments: number, complaints: number, first: string): string {
  return `Timeline from ${first} on: ${visits} visits, ${treatments} treatments, ${complaints} complaints. Their days stand below.`;
}

/** Those far enough from the one before to have a label of their own. */
function apart(days: readonly string[], x: (on: string) => number): string[] {
  const out: string[] = [];
  for (const on of days) if (out.length === 0 || x(on) - x(out.at(-1)!) >= LABEL) out.push(on);
  return out;
}
