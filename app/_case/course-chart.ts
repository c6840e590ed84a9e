/** A course as the chart that lib/report draws, and in sentences. Pure. */
import type { CourseChart, CoursePanel } from '#lib/report/course-svg.ts';
import type { Course, CourseMetric } from '#lib/series/course.ts';
import { courseCurve } from '#lib/series/course-curve.ts';
import { METRICS } from '#shared/comparison.ts';
import { intervalText, METRIC_DECIMALS, metricText } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';

const LEAST: Readonly<Record<CourseMetric, number>> = { volumeMl: 0.5, lightnessDelta: 4 };
export const COURSE_METRICS: readonly CourseMetric[] = ['volumeMl', 'lightnessDelta'];

export function courseChart(course: Course): CourseChart {
  const numbered = course.points.filter(({ metrics }) => Object.keys(metrics).length > 0);
  return {
    summary: `${zoneLabel(course.zone)}: change of volume and lightness over ${numbered.length} ${numbered.length === 1 ? 'follow-up' : 'follow-ups'}; the numbers stand in the table.`,
    dayWords: dayZeroWords(course),
    baselineDay: course.baseline.day,
    treatments: course.treatments,
    waterLoss: course.waterLoss,
    without: course.points.filter(({ metrics }) => Object.keys(metrics).length === 0).map(({ day }) => day),
    panels: COURSE_METRICS.map((metric) => panelOf(course, metric)),
  };
}

function panelOf(course: Course, metric: CourseMetric): CoursePanel {
  const { fit } = course.recovery[metric];
  const curve = courseCurve(course, metric);
  return {
    title: METRICS[metric].label,
    unit: METRICS[metric].unit,
    decimals: METRIC_DECIMALS[metric],
    least: LEAST[metric],
    dots: course.points.flatMap(({ day, metrics, state }) => {
      const result = metrics[metric];
      return result ? [{ day, value: result.value, ci95: result.ci95, untrusted: state === 'untrusted' }] : [];
    }),
    curve: fit.ok && curve ? { points: curve, plateau: fit.value.plateau, ci95: fit.value.plateauCi95 } : null,
  };
}

export function dayZeroWords({ dayZero }: Course): string {
  const since = { dissolved: 'gel was dissolved', treated: 'the treatment', baseline: 'the baseline' }[dayZero.is];
  return `days since ${since} (${dayZero.on})`;
}

/** What the fit says of where the change settles, or why it says nothing. */
export function recoverySentence({ recovery }: Course, metric: CourseMetric): string {
  const label = METRICS[metric].label;
  const { fit } = recovery[metric];
  if (!fit.ok) return `${label}: no curve. ${fit.detail}`;
  const { plateau, plateauCi95, tauDays, uTauDays, start, uStart, birge } = fit.value;
  // The curve is drawn back to day 0 from the first follow-up; where that tells nothing, nothing is told.
  const from = 1.96 * uStart < Math.abs(start - plateau) ? `, from ${metricText(metric, start)} on the day of the treatment` : '';
  return (
    `${label}: settles at ${metricText(metric, plateau)} against the baseline (95 % interval ${intervalText(metric, plateauCi95)})${from}; ` +
    `${tauDays.toFixed(tauDays < 10 ? 1 : 0)} \u00b1 ${uTauDays.toFixed(tauDays < 10 ? 1 : 0)} days ` +
    `for 63 % of the way.${birge > 1.2 ? ' The follow-ups scatter more than their intervals say, so the interval was widened.' : ''} ` +
    'It rests on these follow-ups alone and is no promise.'
  );
}
