/**
 * A complaint zone by zone: who says what, the measured value with its interval and detection limit, and agreement.
 * mL and L*; loss is negative; left and right are the subject's.
 */
import type { Complaint } from '#shared/case.ts';
import { type Comparison, DECIDING_METRICS, type Finding, METRICS, type MetricResult, type ZoneResult } from '#shared/comparison.ts';
import { findingPhrase } from '#shared/finding-words.ts';
import { fixed, intervalText, METRIC_DECIMALS, metricText, withUnit } from '#shared/numbers.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import {
  agreementOf,
  examinerVoice,
  measuredFullness,
  measuredVoice,
  measurementSilence,
  overallAgreement,
  patientVoice,
  type Voice,
} from './complaint-agreement.ts';
import { type Agreement, type ExaminerGrade, GRADE_WORDS, listWords } from './complaint-words.ts';

type DecidingMetric = (typeof DECIDING_METRICS)[number];
export type AnswerMeasure = Readonly<{
  id: DecidingMetric;
  label: string;
  finding: Finding;
  value: number;
  /** "−1.04 mL", "−1.41 to −0.67 mL", "0.53 mL" (smallest detectable change). */
  valueText: string;
  intervalText: string;
  limitText: string;
}>;

export type AnswerRow = Readonly<{
  zone: ZoneId;
  label: string;
  named: boolean;
  grade: ExaminerGrade | null;
  gradeWords: string;
  /** Of the measurement: `not-assessable` too where it cannot be trusted or the zone was a reference; `whyNot` then says why. */
  finding: Finding;
  findingWords: string;
  whyNot: string | null;
  /** Empty exactly when `whyNot` is not null. */
  measures: readonly AnswerMeasure[];
  patientExaminer: Agreement;
  patientMeasurement: Agreement;
  /** On fullness, which is what the examiner grades. */
  examinerMeasurement: Agreement;
  overall: Agreement;
  /** The row as sentences. */
  sentence: string;
}>;

/** Zones that the patient names, then those the examiner graded or that changed beyond error, each in the order of the atlas. */
export function complaintRows(complaint: Pick<Complaint, 'patient' | 'examiner'>, comparison: Comparison): AnswerRow[] {
  const named = new Set(complaint.patient?.part.zones ?? []);
  const grades = complaint.examiner?.part.grades ?? {};
  const results = new Map(comparison.zones.map((zone) => [zone.zone, zone]));
  const others = ZONE_IDS.filter(
    (zone) => !named.has(zone) && (grades[zone] !== undefined || measuredVoice(comparison, results.get(zone)).says === 'change'),
  );
  return [...ZONE_IDS.filter((zone) => named.has(zone)), ...others].map((zone) =>
    rowOf(zone, named.has(zone), grades[zone] ?? null, comparison, results.get(zone)),
  );
}

function rowOf(
  zone: ZoneId,
  named: boolean,
  grade: ExaminerGrade | null,
  comparison: Comparison,
  result: ZoneResult | undefined,
): AnswerRow {
  const patient = patientVoice(named);
  const examiner = examinerVoice(grade);
  const whole = measuredVoice(comparison, result);
  const fullness = measuredFullness(comparison, result);
  const whyNot = measurementSilence(comparison, result);
  const measures = whyNot === null && result ? measuresOf(result) : [];
  const pairs = [
    { a: patient, b: examiner, who: ['patient', 'examiner'] },
    { a: patient, b: whole, who: ['patient', 'measurement'] },
    { a: examiner, b: fullness, who: ['examiner', 'measurement'] },
  ] as const;
  const row = {
    zone,
    label: zoneLabel(zone),
    named,
    grade,
    gradeWords: grade === null ? 'not graded' : GRADE_WORDS[grade],
    finding: whyNot === null && result ? result.finding : ('not-assessable' as const),
    findingWords: whyNot === null && result ? findingPhrase(result) : 'cannot be judged',
    whyNot,
    measures,
    patientExaminer: agreementOf(patient, examiner),
    patientMeasurement: agreementOf(patient, whole),
    examinerMeasurement: agreementOf(examiner, fullness),
    overall: overallAgreement(pairs),
  };
  return { ...row, sentence: [...saidSentences(row), agreementSentence(pairs, row.overall)].join(' ') };
}

function measuresOf(zone: ZoneResult): AnswerMeasure[] {
  return DECIDING_METRICS.flatMap((id) => {
    const result = zone.metrics[id];
    return result ? [measureOf(id, result)] : [];
  });
}

const measureOf = (id: DecidingMetric, result: MetricResult): AnswerMeasure => ({
  id,
  label: METRICS[id].label,
  finding: result.finding,
  value: result.value,
  valueText: metricText(id, result.value),
  intervalText: intervalText(id, result.ci95),
  limitText: withUnit(fixed(result.sdc, METRIC_DECIMALS[id]), METRICS[id].unit),
});

/** "volume −1.04 mL (95 % interval −1.41 to −0.67 mL; smallest detectable change 0.53 mL)". */
export const measureWords = ({ label, valueText, intervalText: interval, limitText }: AnswerMeasure): string =>
  `${label.toLowerCase()} ${valueText} (95 % interval ${interval}; smallest detectable change ${limitText})`;

/** What decides a row: the measures beyond error, or all of them when none is. */
export function tellingMeasures({ measures }: Pick<AnswerRow, 'measures'>): readonly AnswerMeasure[] {
  const beyond = measures.filter(({ finding }) => finding === 'beyond-error');
  return beyond.length > 0 ? beyond : measures;
}

function saidSentences(
  row: Pick<AnswerRow, 'label' | 'named' | 'grade' | 'gradeWords' | 'findingWords' | 'whyNot' | 'measures'>,
): string[] {
  return [
    `${row.label}: ${row.named ? 'the patient points here' : 'the patient does not point here'}.`,
    row.grade === null ? 'The examiner did not grade it.' : `Examiner: ${row.gradeWords}.`,
    row.whyNot === null
      ? `Measured, ${row.findingWords}: ${listWords(tellingMeasures(row).map(measureWords))}.`
      : `Measurement: cannot be judged. ${row.whyNot}`,
  ];
}

function agreementSentence(pairs: readonly Readonly<{ a: Voice; b: Voice; who: readonly [string, string] }>[], overall: Agreement): string {
  const both = pairs.filter(({ a, b }) => a.says !== 'silent' && b.says !== 'silent');
  const voices = [...new Set(both.flatMap(({ who }) => who))];
  if (overall === 'differ') {
    const differing = both.filter(({ a, b }) => agreementOf(a, b) === 'differ').map(({ who }) => listWords(who));
    return `${capital(differing.join('; '))} differ.`;
  }
  const withinLimit = both.some(({ a, b }) => a.says === 'within' || b.says === 'within');
  if (overall === 'agree')
    return `${capital(listWords(voices))} agree${withinLimit ? ', as far as the detection limit allows' : ''}${voices.length === 3 ? ', all three' : ''}.`;
  return withinLimit
    ? 'Whether the measurement agrees cannot be said: a change smaller than the limit given would not be told from error.'
    : 'Agreement cannot be said, because fewer than two of the three have spoken of this zone.';
}

const capital = (words: string): string => words.charAt(0).toUpperCase() + words.slice(1);
