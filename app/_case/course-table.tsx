/** The numbers of a course: each visit's change with its interval, what it is worth, and the comparison it comes from. */
import Link from 'next/link';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import type { Course, CourseMetric, CoursePoint } from '#lib/series/course.ts';
import { METRICS } from '#shared/comparison.ts';
import { fixed, intervalText, METRIC_DECIMALS, metricText, withUnit } from '#shared/numbers.ts';
import css from './case.module.css';

export function CourseTable({ course, dayWords }: { course: Course; dayWords: string }) {
  return (
    <ScrollRegion label="Numbers of the course">
      <table className={css.courseTable}>
        <thead>
          <tr>
            <th scope="col">Visit</th>
            <th scope="col" className="number">
              Day
            </th>
            <th scope="col">Volume</th>
            <th scope="col">Lightness</th>
            <th scope="col">Note</th>
          </tr>
        </thead>
        <tbody>
          <tr>
            <th scope="row" className={css.date}>
              {course.baseline.on}
            </th>
            <td className="number">{fixed(course.baseline.day, 0)}</td>
            <td colSpan={3}>baseline</td>
          </tr>
          {course.points.map((point) => (
            <tr key={point.visit}>
              <th scope="row" className={css.date}>
                {point.comparison && point.state !== 'pending' ? (
                  <Link href={`/comparison/${point.comparison}`} prefetch={false}>
                    {point.on}
                  </Link>
                ) : (
                  point.on
                )}
              </th>
              <td className="number">{fixed(point.day, 0)}</td>
              <MetricCell point={point} metric="volumeMl" />
              <MetricCell point={point} metric="lightnessDelta" />
              <td className="small">
                {point.whyNot}
                {point.early && ' Early: water loss is expected.'}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="small soft">Day: {dayWords}.</p>
    </ScrollRegion>
  );
}

function MetricCell({ point, metric }: { point: CoursePoint; metric: CourseMetric }) {
  const result = point.metrics[metric];
  if (!result) return <td className="soft">no number</td>;
  return (
    <td>
      <span className="number">{metricText(metric, result.value)}</span> <span className="soft">({intervalText(metric, result.ci95)})</span>
      <br />
      <span className="small soft">
        {result.finding === 'beyond-error' ? 'beyond error' : 'within error'}; detectable from{' '}
        {withUnit(fixed(result.sdc, METRIC_DECIMALS[metric]), METRICS[metric].unit)}
      </span>
    </td>
  );
}
