/** How many subjects the next study needs: from the smallest detectable change alone, and from the scatter that was seen. */

import { type Design, errorOfChangeFromSdc, powerOfT, subjectsNeeded } from '#lib/stats/sample-size.ts';
import { sampleDeviation } from '#lib/stats/sum.ts';
import type { MetricId } from '#shared/comparison.ts';
import { refused } from '#shared/outcome.ts';
import type { StudyReport } from '#shared/study.ts';
import { independence } from './study-assumptions.ts';
import type { StudyColumn, StudyData } from './study-data.ts';
import { bySubject, onePerSubject, type StudyOptions } from './study-selection.ts';

type SampleSize = StudyReport['sampleSize'][number]['answer'];

/** Mean changes worth planning for; a mean of many can be smaller than what shows in one subject. */
const PLANNED: Readonly<Partial<Record<MetricId, readonly number[]>>> = { volumeMl: [0.1, 0.3, 0.6], lightnessDelta: [0.5, 1, 2] };
const POWER = 0.8;

/** `sdc` in the unit of the metric, or null when there were no repeats. */
export function studySampleSize(data: StudyData, column: StudyColumn, options: StudyOptions, sdc: number | null): SampleSize {
  const changes = PLANNED[column.metric];
  if (!changes) return refused('not-planned', 'Sample sizes are worked out for the metrics that decide: volume and lightness.');
  const values = onePerSubject(bySubject(data, column, 'change', options), options.perSubject).map(({ value }) => value);
  const seen = values.length >= 3 ? sampleDeviation(values) : 0;
  const sdSeen = seen > 0 ? seen : null;
  const sdOfError = sdc !== null && sdc > 0 ? errorOfChangeFromSdc(sdc) : null;
  if (sdSeen === null && sdOfError === null)
    return refused('no-scatter', 'Neither repeats nor three changes or more were measured here, so the scatter is not known.');
  const needed = (change: number, sd: number | null, design: Design): number | null => {
    const n = sd === null ? null : subjectsNeeded(change, sd, POWER, design, options.alpha);
    return n?.ok ? Math.ceil(n.value - 1e-6) : null;
  };
  return {
    ok: true,
    method: `two-sided t test at ${options.alpha}, power ${POWER}, exact by the noncentral t; error alone has the standard deviation SDC / 1.96`,
    assumptions: [
      {
        name: 'the next subjects scatter as these do',
        held: null,
        detail:
          sdSeen === null
            ? 'Only the error is known; people also differ, so more subjects will be needed.'
            : `Standard deviation of ${values.length} changes.`,
      },
      independence('One change a subject.'),
    ],
    sdc,
    sdOfError,
    sdSeen,
    subjects: values.length,
    rows: changes.map((change) => ({
      change,
      fromError: needed(change, sdOfError, 'paired'),
      fromSeen: needed(change, sdSeen, 'paired'),
      eachGroup: needed(change, sdSeen, 'two-groups'),
      powerNow: sdSeen !== null && values.length >= 2 ? powerOfT(change, sdSeen, values.length, 'paired', options.alpha) : null,
    })),
  };
}
