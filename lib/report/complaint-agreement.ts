/**
 * What patient, examiner and measurement each say of one zone, and whether they agree.
 *
 * A measurement within error says neither that something changed nor that nothing did: it never contradicts who sees a
 * change, and it agrees with who sees none only down to its detection limit.
 */
import type { Comparison, ZoneResult } from '#shared/comparison.ts';
import type { Agreement, ExaminerGrade } from './complaint-words.ts';

/** `direction`: -1 less, +1 more, 0 not said. `within`: nothing beyond error was found. `silent`: nothing can be said, or was. */
export type Voice = Readonly<{ says: 'change'; direction: -1 | 0 | 1 } | { says: 'none' } | { says: 'within' } | { says: 'silent' }>;

const SILENT: Voice = { says: 'silent' };

/** Who names a zone says that it changed, and not how; who does not has said nothing of it. */
export const patientVoice = (named: boolean): Voice => (named ? { says: 'change', direction: 0 } : SILENT);

export function examinerVoice(grade: ExaminerGrade | null): Voice {
  switch (grade) {
    case null:
    case 'cannot-say':
      return SILENT;
    case 'no-difference':
      return { says: 'none' };
    case 'clearly-less':
    case 'slightly-less':
      return { says: 'change', direction: -1 };
    case 'slightly-more':
    case 'clearly-more':
      return { says: 'change', direction: 1 };
  }
}

/** Why the measurement has nothing to say of this zone, in a sentence; null when it has. */
export function measurementSilence(comparison: Comparison, zone: ZoneResult | undefined): string | null {
  if (!comparison.gate.comparable) return 'The photographs are not comparable, so nothing was measured.';
  if (!comparison.control.trusted) return 'The comparison cannot be trusted, because its reference zones did not bear it out.';
  if (!zone) return 'This zone was not measured.';
  if (!zone.assessable || zone.finding === 'not-assessable') return zone.whyNot ?? 'It was not seen well enough.';
  if (zone.reference)
    return 'It served as a reference zone of this comparison and is taken to be at rest, so its own change cannot be judged.';
  if (!zone.metrics.volumeMl && !zone.metrics.lightnessDelta) return 'Nothing that decides could be measured here.';
  return null;
}

/** What the measurement says of the zone as a whole: volume or lightness. This is what a patient's pointing is held against. */
export function measuredVoice(comparison: Comparison, zone: ZoneResult | undefined): Voice {
  if (!zone || measurementSilence(comparison, zone) !== null) return SILENT;
  if (zone.finding !== 'beyond-error') return { says: 'within' };
  const { volumeMl } = zone.metrics;
  return { says: 'change', direction: volumeMl?.finding === 'beyond-error' ? sign(volumeMl.value) : 0 };
}

/** What it says of fullness alone, which is what the examiner grades: a darker zone is not a flatter one. */
export function measuredFullness(comparison: Comparison, zone: ZoneResult | undefined): Voice {
  const whole = measuredVoice(comparison, zone);
  const volume = zone?.metrics.volumeMl;
  if (whole.says === 'silent' || !volume) return SILENT;
  return whole.says === 'change' && volume.finding === 'beyond-error' ? whole : { says: 'within' };
}

export function agreementOf(a: Voice, b: Voice): Agreement {
  if (a.says === 'silent' || b.says === 'silent') return 'cannot-be-said';
  if (a.says === 'change' && b.says === 'change') return a.direction * b.direction < 0 ? 'differ' : 'agree';
  if (a.says === 'change' || b.says === 'change') return a.says === 'within' || b.says === 'within' ? 'cannot-be-said' : 'differ';
  return 'agree';
}

/** Of several pairs: one difference is a difference; agreement needs every pair that both speak in to agree. */
export function overallAgreement(pairs: readonly Readonly<{ a: Voice; b: Voice }>[]): Agreement {
  const speaking = pairs.filter(({ a, b }) => a.says !== 'silent' && b.says !== 'silent').map(({ a, b }) => agreementOf(a, b));
  if (speaking.includes('differ')) return 'differ';
  return speaking.length > 0 && speaking.every((one) => one === 'agree') ? 'agree' : 'cannot-be-said';
}

const sign = (value: number): -1 | 0 | 1 => (value < 0 ? -1 : value > 0 ? 1 : 0);
