/** Points of the fitted recovery of a course, to be drawn. */
import { recoveryAt } from '#lib/stats/recovery-fit.ts';
import type { Course, CourseMetric } from './course.ts';

const POINTS = 80;

/** From the treatment's day to the last follow-up, in days of the course; null where nothing was fitted. */
export function courseCurve({ points, recovery }: Course, metric: CourseMetric): (readonly [day: number, value: number])[] | null {
  const { fromDay, fit } = recovery[metric];
  if (!fit.ok) return null;
  const last = Math.max(...points.map(({ day }) => day), fromDay + 1);
  return Array.from({ length: POINTS }, (_, i) => {
    const since = ((last - fromDay) * i) / (POINTS - 1);
    return [fromDay + since, recoveryAt(fit.value, since)] as const;
  });
}
