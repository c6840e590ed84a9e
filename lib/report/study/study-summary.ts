/** The answer at the head of a study: how much there was, which zones changed on average, and whether the negative control held. */
import { DECIDING_METRICS, METRICS, type MetricId } from '#shared/comparison.ts';
import { isAnswered, type StudyReport } from '#shared/study.ts';
import { zoneLabel } from '#shared/zones.ts';
import { changeInterval, changeNumber, counted, withStudyUnit } from './study-words.ts';

export function summaryWords(study: StudyReport): Readonly<{ lead: string; rest: string[] }> {
  const { subjects, change, repeat } = study.flow;
  return {
    lead:
      `${counted(subjects, 'subject')}: ${counted(change.pairs, 'pair')} of follow-up and baseline, of which ${change.used} could be measured and used, ` +
      `and ${counted(repeat.pairs, 'pair')} of repeats, of which ${repeat.used}.`,
    rest: [...DECIDING_METRICS.map((metric) => metricWords(study, metric)), controlWords(study)].filter((words) => words !== ''),
  };
}

function metricWords(study: StudyReport, metric: MetricId): string {
  const tested = study.change.filter((row) => row.metric === metric && !row.reference).filter(isAnswered);
  const label = METRICS[metric].label;
  if (tested.length === 0) return `${label}: no zone could be tested; the reasons stand below.`;
  const firm = tested.filter(({ answer }) => answer.pHolm !== null && answer.pHolm < study.options.alpha);
  if (firm.length === 0)
    return `${label}: in none of ${counted(tested.length, 'zone')} is the mean change more than chance could make, after Holm\u2019s correction. That is no proof that nothing changed: see the intervals.`;
  const each = firm.map(
    ({ zone, scale, answer }) =>
      `${zoneLabel(zone)} ${withStudyUnit(changeNumber(metric, scale, answer.mean), metric, scale)} (95 % interval ${changeInterval(metric, scale, answer.ci95)}; n ${answer.subjects})`,
  );
  return `${label}: in ${firm.length} of ${counted(tested.length, 'zone')} the mean change is more than chance would make, after Holm\u2019s correction: ${each.join('; ')}.`;
}

/** Reference zones should not change; with each tested at 5 %, one in twenty will seem to. */
function controlWords(study: StudyReport): string {
  const rows = study.change
    .filter(({ reference, metric }) => reference && (DECIDING_METRICS as readonly string[]).includes(metric))
    .filter(isAnswered);
  if (rows.length === 0) return '';
  const moved = rows.filter(({ answer }) => answer.signFlip.p < study.options.alpha / rows.length);
  if (moved.length === 0)
    return `Negative control: in none of ${counted(rows.length, 'test')} of reference zones is the mean other than 0 beyond chance.`;
  const where = moved.map(
    ({ zone, metric, scale, answer }) =>
      `${zoneLabel(zone)}, ${METRICS[metric].label.toLowerCase()} ${withStudyUnit(changeNumber(metric, scale, answer.mean), metric, scale)}`,
  );
  return `Negative control: reference zones that should not change did so on average (${where.join('; ')}). A bias of that size must be expected in every zone.`;
}
