/**
 * The plain statement of a complaint's answer, generated from what was recorded and measured. It never says that nothing changed,
 * never explains a cause, and gives a detection limit with whatever lies within error.
 */
import type { Complaint } from '#shared/case.ts';
import { STANDING_CAUTIONS } from '#shared/cautions.ts';
import type { Comparison } from '#shared/comparison.ts';
import { fixed, intervalText, metricText } from '#shared/numbers.ts';
import type { Early } from './complaint-early.ts';
import { type AnswerRow, measureWords, tellingMeasures } from './complaint-rows.ts';
import { GRADE_WORDS, HOW_OFTEN_WORDS, listWords } from './complaint-words.ts';

export type StatementPart = Readonly<{
  about: 'trust' | 'early' | 'patient' | 'examiner' | 'measurement' | 'agreement' | 'limits';
  text: string;
}>;

type Facts = Readonly<{
  complaint: Pick<Complaint, 'patient' | 'examiner'>;
  comparison: Comparison;
  rows: readonly AnswerRow[];
  early: Readonly<{ before: Early | null; after: Early | null }>;
  resultsSeenBefore: number;
}>;

export function complaintStatement({ complaint, comparison, rows, early, resultsSeenBefore }: Facts): StatementPart[] {
  const usable = comparison.gate.comparable && comparison.control.trusted;
  return [
    ...trustPart(comparison),
    ...[early.after, early.before].flatMap((one) => (one ? [{ about: 'early' as const, text: one.text }] : [])),
    { about: 'patient', text: patientText(complaint) },
    { about: 'examiner', text: examinerText(complaint) + seenText(resultsSeenBefore) },
    ...(usable ? [{ about: 'measurement' as const, text: measurementText(comparison, rows) }] : []),
    { about: 'agreement', text: agreementText(rows) },
    ...STANDING_CAUTIONS.filter(({ code }) => code === 'cause-unknown' || code === 'no-change-is-no-verdict').map(({ text }) => ({
      about: 'limits' as const,
      text,
    })),
  ];
}

function trustPart({ gate, control }: Comparison): StatementPart[] {
  if (!gate.comparable)
    return [
      {
        about: 'trust',
        text: `The photographs are not comparable, so nothing was measured and this complaint has no measured answer yet. ${gate.checks
          .filter(({ verdict }) => verdict === 'refuse')
          .map(({ message }) => message)
          .join(' ')}`.trim(),
      },
    ];
  if (control.trusted) return [];
  return [
    {
      about: 'trust',
      text: `The measurement cannot be trusted here and is not held against anyone: its reference zones did not bear it out. ${control.statement}`,
    },
  ];
}

function patientText({ patient }: Facts['complaint']): string {
  if (!patient) return 'The patient has not been heard.';
  const { zones, severity, howOften } = patient.part;
  const where = zones.length === 0 ? 'names no single zone' : `names ${zones.length === 1 ? 'one zone' : `${zones.length} zones`}`;
  return `The patient ${where}, gives the trouble ${severity} of 10, and thinks of it ${HOW_OFTEN_WORDS[howOften]}.`;
}

function examinerText({ examiner }: Facts['complaint']): string {
  if (!examiner) return 'No examiner has rated the photographs.';
  const grades = Object.values(examiner.part.grades);
  const counts = (Object.keys(GRADE_WORDS) as (keyof typeof GRADE_WORDS)[]).flatMap((grade) => {
    const n = grades.filter((one) => one === grade).length;
    return n === 0 ? [] : [`${GRADE_WORDS[grade]} in ${n}`];
  });
  return `Before the measurement was shown, the examiner graded ${grades.length === 1 ? 'one zone' : `${grades.length} zones`}${counts.length > 0 ? `: ${counts.join(', ')}` : ''}.`;
}

/** It can't be undone, and it is not hidden. */
const seenText = (times: number): string =>
  times === 0
    ? ''
    : ` A result of these visits had been opened ${times === 1 ? 'once' : `${times} times`} before that, so the rating may not have been blind to it.`;

function measurementText(comparison: Comparison, rows: readonly AnswerRow[]): string {
  const named = rows.filter((row) => row.named);
  const of = (finding: AnswerRow['finding'], among: readonly AnswerRow[]) => among.filter((row) => row.finding === finding);
  const beyond = of('beyond-error', named);
  const within = of('within-error', named);
  const silent = of('not-assessable', named);
  const elsewhere = of(
    'beyond-error',
    rows.filter((row) => !row.named),
  );
  const sentences = [
    beyond.length > 0
      ? `${ofThe(beyond.length, named.length)} the patient names changed by more than the error of the measurement: ${measuredList(beyond)}.`
      : '',
    within.length > 0
      ? `${ofThe(within.length, named.length)} the patient names lie${within.length === 1 ? 's' : ''} within error, where a smaller change may have happened without being found: ${measuredList(within)}.`
      : '',
    ...silent.map((row) => `${row.label} cannot be judged: ${lowerFirst(row.whyNot ?? '')}`),
    elsewhere.length > 0
      ? `${named.length === 0 ? 'Beyond error' : 'Where the patient does not point, beyond error'}: ${measuredList(elsewhere)}.`
      : '',
    named.length === 0 && elsewhere.length === 0 ? unnamedWithin(comparison) : '',
    beyond.length === 0 && elsewhere.length === 0 ? pooledText(comparison) : '',
  ];
  return sentences.filter(Boolean).join(' ');
}

const measuredList = (rows: readonly AnswerRow[]): string =>
  rows.map((row) => `${row.label.replace(',', '')} ${listWords(tellingMeasures(row).map(measureWords))}`).join('; ');

const ofThe = (n: number, all: number): string =>
  all === 1 ? 'The one zone' : n === all ? `All ${all} zones` : `${n} of the ${all} zones`;

/** Nothing named and nothing beyond error: the widest limit of the face stands for all. */
function unnamedWithin({ zones }: Comparison): string {
  const limits = zones.flatMap((zone) => (zone.reference || !zone.assessable || !zone.metrics.volumeMl ? [] : [zone.metrics.volumeMl.sdc]));
  if (limits.length === 0) return 'No zone could be judged.';
  return `Every zone that could be judged lies within error; depending on the zone, a change of less than ${fixed(Math.min(...limits), 2)} to ${fixed(Math.max(...limits), 2)}\u00a0mL would not have been found.`;
}

/** The diffuse change that no single zone shows. */
function pooledText({ pooled }: Comparison): string {
  if (!pooled) return '';
  const { value, ci95 } = pooled.volumeMl;
  const measured = `${metricText('volumeMl', value)} (95 % interval ${intervalText('volumeMl', ci95)})`;
  return pooled.finding === 'beyond-error'
    ? `Taken together, however, the ${pooled.zones.length} zones of concern changed by more than error: ${measured}.`
    : `Taken together, the ${pooled.zones.length} zones of concern lie within error too: ${measured}.`;
}

function agreementText(rows: readonly AnswerRow[]): string {
  const labels = (overall: AnswerRow['overall']) =>
    rows.filter((row) => row.overall === overall).map(({ label }) => label.replace(',', ''));
  const parts = [
    [labels('agree'), 'they agree on'],
    [labels('differ'), 'they differ on'],
    [labels('cannot-be-said'), 'whether they agree cannot be said of'],
  ] as const;
  const said = parts.flatMap(([zones, words]) => (zones.length > 0 ? [`${words} ${listWords(zones)}`] : []));
  return said.length > 0
    ? `Of patient, examiner and measurement, as far as each has spoken: ${said.join('; ')}.`
    : 'No zone was named, graded or found changed, so there is nothing to hold against each other.';
}

const lowerFirst = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);
