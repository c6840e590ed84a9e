/** The answer to a complaint: agreement, early days, distrust, next steps; and what its sentences never say. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { agreementOf, examinerVoice, overallAgreement, patientVoice, type Voice } from '#lib/report/complaint-agreement.ts';
import { type ComplaintAnswer, complaintAnswer } from '#lib/report/complaint-answer.ts';
import { earlyWindow } from '#lib/report/complaint-early.ts';
import { AGREEMENTS, DISTRESS_NOTE, GRADE_WORDS } from '#lib/report/complaint-words.ts';
import { type Complaint, complaintSchema, EXAMINER_GRADES, type ExaminerPart, HOW_OFTEN } from '#shared/case.ts';
import type { Comparison, MetricResult } from '#shared/comparison.ts';
import { addDays, daysBetween } from '#shared/days.ts';
import { fixed } from '#shared/numbers.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';
import { REFERENCE_ZONES, ZONE_IDS, type ZoneId } from '#shared/zones.ts';
import { incomparable, metric, sampleComparison } from './sample-comparison.ts';

const id = (digit: string) => digit.repeat(32);

function complaintOf(
  zones: readonly ZoneId[],
  grades: ExaminerPart['grades'],
  part: { severity?: number; howOften?: (typeof HOW_OFTEN)[number] } = {},
): Complaint {
  return complaintSchema.parse({
    id: id('1'),
    case: id('2'),
    on: '2026-11-20',
    beforeVisit: id('3'),
    afterVisit: id('4'),
    stage: 'revealed',
    openedAt: '2026-11-20T10:00:00Z',
    patient: {
      at: '2026-11-20T10:05:00Z',
      part: {
        words: 'I see no change for the better.',
        severity: part.severity ?? 7,
        howOften: part.howOften ?? 'every-day',
        zones,
        marks: [],
        callsMe: null,
      },
    },
    examiner: { at: '2026-11-20T10:10:00Z', part: { examiner: 'E. X.', grades, note: '' } },
    revealed: { at: '2026-11-20T10:12:00Z', comparison: id('5') },
    conclusion: null,
    additions: [],
    revision: 4,
  });
}

type Given = {
  seen?: number;
  zones?: readonly ZoneId[];
  grades?: ExaminerPart['grades'];
  comparison?: Comparison;
  afterOn?: string;
  treatedOn?: string | null;
};
const answerOf = ({
  zones = ['midface-left'],
  grades = {},
  comparison = sampleComparison(),
  afterOn = '2026-11-20',
  treatedOn = '2026-09-03',
  seen,
}: Given = {}) =>
  complaintAnswer({
    complaint: complaintOf(zones, grades),
    comparison,
    beforeOn: '2026-09-01',
    afterOn,
    treatments: treatedOn ? [{ on: treatedOn, purpose: 'gel-dissolved' }] : [],
    facts: USUAL_SETTINGS.facts,
    resultsSeenBefore: seen,
  });
const row = (answer: ComplaintAnswer, zone: ZoneId) => answer.rows.find((one) => one.zone === zone)!;
const allText = ({ rows, statement, next, early }: ComplaintAnswer): string[] => [
  ...rows.map(({ sentence }) => sentence),
  ...statement.map(({ text }) => text),
  ...next.flatMap(({ reasons }) => reasons),
  ...(early ? [early.text] : []),
];
const about = (answer: ComplaintAnswer, what: string) =>
  answer.statement
    .filter((part) => part.about === what)
    .map(({ text }) => text)
    .join(' ');

describe('law: agreement', () => {
  const voice: fc.Arbitrary<Voice> = fc.constantFrom<Voice>(
    { says: 'change', direction: -1 },
    { says: 'change', direction: 0 },
    { says: 'change', direction: 1 },
    { says: 'none' },
    { says: 'within' },
    { says: 'silent' },
  );
  it('is the same from both sides, and silence never agrees or differs', () => {
    fc.assert(
      fc.property(voice, voice, (a, b) => {
        expect(agreementOf(a, b)).toBe(agreementOf(b, a));
        if (a.says === 'silent') expect(agreementOf(a, b)).toBe('cannot-be-said');
      }),
    );
  });
  it('within error never contradicts who sees a change', () => {
    for (const direction of [-1, 0, 1] as const)
      expect(agreementOf({ says: 'within' }, { says: 'change', direction })).toBe('cannot-be-said');
  });
  it('a loss and a gain differ; a change without direction agrees with both', () => {
    expect(agreementOf({ says: 'change', direction: -1 }, { says: 'change', direction: 1 })).toBe('differ');
    expect(agreementOf({ says: 'change', direction: 0 }, { says: 'change', direction: 1 })).toBe('agree');
  });
  it('who names a zone and who grades no difference differ', () => {
    expect(agreementOf(patientVoice(true), examinerVoice('no-difference'))).toBe('differ');
  });
  it('of all three needs every speaking pair to agree', () => {
    fc.assert(
      fc.property(voice, voice, voice, (a, b, c) => {
        const pairs = [
          { a, b },
          { a, b: c },
          { a: b, b: c },
        ];
        const each = pairs.map((pair) => agreementOf(pair.a, pair.b));
        const overall = overallAgreement(pairs);
        expect(AGREEMENTS).toContain(overall);
        expect(overall === 'differ').toBe(each.includes('differ'));
        if (overall === 'agree') expect([a, b, c].filter(({ says }) => says !== 'silent').length).toBeGreaterThanOrEqual(2);
        if ([a, b, c].some(({ says }) => says === 'change') && [a, b, c].some(({ says }) => says === 'within'))
          expect(overall).not.toBe('agree');
      }),
    );
  });
});

describe('law: rows', () => {
  it('patient, examiner and measurement agree on a loss', () => {
    const midface = row(answerOf({ grades: { 'midface-left': 'clearly-less' } }), 'midface-left');
    expect([midface.patientExaminer, midface.patientMeasurement, midface.examinerMeasurement, midface.overall]).toEqual(
      Array(4).fill('agree'),
    );
    expect(midface.sentence).toBe(
      'Midface, left: the patient points here. Examiner: clearly less full. Measured, loss beyond error: volume \u22121.04\u00a0mL (95 % interval \u22121.41 to ' +
        '\u22120.67\u00a0mL; smallest detectable change 0.53\u00a0mL). Patient, examiner and measurement agree, all three.',
    );
  });
  it('an examiner who sees a gain differs from a measured loss', () => {
    const midface = row(answerOf({ grades: { 'midface-left': 'slightly-more' } }), 'midface-left');
    expect(midface.examinerMeasurement).toBe('differ');
    expect(midface.sentence).toMatch(/Examiner and measurement differ\.$/);
  });
  it('within error gives both limits and leaves agreement with the patient open', () => {
    const infraorbital = row(
      answerOf({ zones: ['infraorbital-left'], grades: { 'infraorbital-left': 'cannot-say' } }),
      'infraorbital-left',
    );
    expect(infraorbital.patientMeasurement).toBe('cannot-be-said');
    expect(infraorbital.sentence).toMatch(
      /within error: volume .*smallest detectable change 0\.33\u00a0mL\) and lightness .*smallest detectable change 1\.7\u00a0L\*/,
    );
    expect(infraorbital.sentence).toMatch(/cannot be said: a change smaller than the limit/);
  });
  it('darker is not flatter: an examiner who sees no loss does not differ from a zone that only darkened', () => {
    const comparison = sampleComparison();
    const zones = comparison.zones.map((zone) =>
      zone.zone === 'chin'
        ? {
            ...zone,
            finding: 'beyond-error' as const,
            metrics: { volumeMl: metric(-0.05, 0.15, 0.7, 'within-error'), lightnessDelta: metric(-4, 0.6, 1e-9, 'beyond-error') },
          }
        : zone,
    );
    const chin = row(answerOf({ zones: ['chin'], grades: { chin: 'no-difference' }, comparison: { ...comparison, zones } }), 'chin');
    expect([chin.patientMeasurement, chin.examinerMeasurement, chin.patientExaminer]).toEqual(['agree', 'agree', 'differ']);
    expect(chin.findingWords).toBe('darker beyond error');
  });
  it('names zones first, then those graded or found; each once', () => {
    const { rows } = answerOf({ zones: ['chin', 'forehead'], grades: { 'nasal-tip': 'cannot-say', chin: 'no-difference' } });
    expect(rows.map(({ zone }) => zone)).toEqual(['forehead', 'chin', 'midface-left', 'midface-right', 'nasal-tip']);
  });
  it('a zone not assessable says why; a reference zone cannot judge itself', () => {
    const answer = answerOf({ zones: ['jawline-right', 'forehead'] });
    expect(row(answer, 'jawline-right').sentence).toMatch(/Measurement: cannot be judged\. Hair covers most of the zone/);
    expect(row(answer, 'forehead').sentence).toMatch(/served as a reference zone/);
    expect(row(answer, 'forehead').patientMeasurement).toBe('cannot-be-said');
  });
});

describe('law: what overrides', () => {
  const untrusted = (): Comparison => ({
    ...sampleComparison(),
    control: { trusted: false, statement: 'The forehead seems to have changed.' },
  });
  it('a failed negative control silences the measurement everywhere', () => {
    const answer = answerOf({ grades: { 'midface-left': 'no-difference' }, comparison: untrusted() });
    expect(answer.usable).toBe(false);
    expect(answer.rows.flatMap(({ measures }) => measures)).toEqual([]);
    expect(answer.statement[0]).toMatchObject({ about: 'trust', text: expect.stringContaining('The forehead seems to have changed.') });
    expect(about(answer, 'measurement')).toBe('');
    expect(
      answer.rows.every(
        ({ patientMeasurement, examinerMeasurement }) =>
          patientMeasurement === 'cannot-be-said' && examinerMeasurement === 'cannot-be-said',
      ),
    ).toBe(true);
    expect(answer.next.find(({ step }) => step === 'retake')!.proposed).toBe(true);
  });
  it('an incomparable pair has no measured answer, says why, and asks for new photographs', () => {
    const answer = answerOf({ comparison: incomparable() });
    expect(answer.statement[0]!.text).toMatch(/not comparable.*20 cm away/);
    expect(answer.next.find(({ step }) => step === 'retake')).toMatchObject({ proposed: true });
    expect(answer.next.find(({ step }) => step === 'retake')!.reasons.join(' ')).toMatch(/from the same distance/);
  });
  it('early photographs are said to be early, with the day from which they can be judged', () => {
    const answer = answerOf({ afterOn: '2026-09-07', treatedOn: '2026-09-03' });
    expect(answer.early).toMatchObject({ days: 4, judgedFrom: '2026-09-17' });
    expect(about(answer, 'early')).toMatch(
      /4 days after a treatment \(2026-09-03\).*lost water.*from 2026-09-17 on \(common practice, no published source\)/,
    );
    expect(answer.next.find(({ step }) => step === 'wait')!.proposed).toBe(true);
    expect(answerOf({ afterOn: '2026-09-16' }).early).not.toBeNull();
    expect(answerOf({ afterOn: '2026-09-17' }).early).toBeNull();
    expect(answerOf({ treatedOn: null }).early).toBeNull();
  });
  it('a figure that the practice edited is called its own', () => {
    const facts = { ...USUAL_SETTINGS.facts, waterLossDays: 21 };
    const early = earlyWindow('2026-09-20', 'after', [{ on: '2026-09-03', purpose: 'gel-placed' }], facts)!;
    expect(early.text).toMatch(
      /Within the first 21 days swelling and bruising are expected.*from 2026-09-24 on \(the practice\u2019s own\)/,
    );
  });
  it('a baseline taken on the day of the treatment is settled, one taken days after is not', () => {
    expect(about(answerOf({ treatedOn: '2026-09-01' }), 'early')).toBe('');
    expect(about(answerOf({ treatedOn: '2026-08-30' }), 'early')).toMatch(/before photographs.*no settled baseline.*2026-09-13/);
  });
  it('proposes review when it can be judged, or after the usual interval', () => {
    expect(answerOf({ treatedOn: '2026-11-16' }).reviewOn).toBe('2026-11-30');
    expect(answerOf().reviewOn).toBe('2026-11-24');
  });
  it('a result opened before the rating is not hidden', () => {
    expect(about(answerOf({ seen: 2 }), 'examiner')).toMatch(/had been opened 2 times before that.*may not have been blind/);
    expect(about(answerOf(), 'examiner')).not.toMatch(/opened/);
  });
  it('checks that were noted are reasons to retake', () => {
    expect(
      answerOf()
        .next.find(({ step }) => step === 'retake')!
        .reasons.join(' '),
    ).toMatch(/6 degrees further left.*Keep the lamps where they were/);
  });
});

/** Comparisons of every kind: any finding in any zone, any trust. */
const anyMetric: fc.Arbitrary<MetricResult> = fc
  .record({ value: fc.double({ min: -3, max: 3, noNaN: true }), u: fc.double({ min: 0.01, max: 1, noNaN: true }), beyond: fc.boolean() })
  .map(({ value, u, beyond }) => metric(value, u, beyond ? 1e-6 : 0.5, beyond ? 'beyond-error' : 'within-error'));
const anyComparison: fc.Arbitrary<Comparison> = fc
  .record({
    metrics: fc.array(fc.option(fc.record({ volumeMl: anyMetric, lightnessDelta: anyMetric })), {
      minLength: ZONE_IDS.length,
      maxLength: ZONE_IDS.length,
    }),
    trusted: fc.boolean(),
    pooled: fc.boolean(),
  })
  .map(({ metrics, trusted, pooled }) => {
    const base = sampleComparison();
    return {
      ...base,
      control: { trusted, statement: 'The forehead and the glabella were looked at.' },
      pooled: pooled ? base.pooled : null,
      zones: base.zones.map((zone, i) => {
        const own = metrics[i];
        const beyond = own && (own.volumeMl.finding === 'beyond-error' || own.lightnessDelta.finding === 'beyond-error');
        return own
          ? {
              ...zone,
              assessable: true,
              whyNot: null,
              finding: beyond ? ('beyond-error' as const) : ('within-error' as const),
              metrics: own,
            }
          : { ...zone, assessable: false, whyNot: 'Hair lies over it.', finding: 'not-assessable' as const, metrics: {} };
      }),
    };
  });
const anyAnswer = fc
  .record({
    comparison: anyComparison,
    zones: fc.uniqueArray(fc.constantFrom(...ZONE_IDS), { maxLength: 8 }),
    grades: fc.dictionary(fc.constantFrom(...ZONE_IDS), fc.constantFrom(...EXAMINER_GRADES)),
    days: fc.integer({ min: -5, max: 90 }),
    severity: fc.integer({ min: 0, max: 10 }),
    howOften: fc.constantFrom(...HOW_OFTEN),
  })
  .map(({ comparison, zones, grades, days, severity, howOften }) => ({
    comparison,
    zones,
    answer: complaintAnswer({
      complaint: complaintOf(
        zones,
        { ...Object.fromEntries(zones.map((zone) => [zone, 'cannot-say'])), ...grades },
        { severity, howOften },
      ),
      comparison,
      beforeOn: '2026-09-01',
      afterOn: addDays('2026-10-01', days),
      treatments: [{ on: '2026-10-01', purpose: 'gel-dissolved' as const }],
      facts: USUAL_SETTINGS.facts,
    }),
  }));

/** Sentences that would overstate: that nothing changed, or what is the matter with the patient. */
const OVERSTATED = /\bno change\b|\bunchanged\b|nothing (has )?changed|has not changed|did not change|is the same as before/i;
const DIAGNOSING =
  /diagnos|dysmorph|disorder|obsess|anxi|depress|imagin|exaggerat|psychosomatic|healthy|\bnormal\b|caused by|because of the (enzyme|treatment|gel)/i;

describe('law: the words, whatever was said and measured', () => {
  it('never say that nothing changed, nor what is the matter', () => {
    fc.assert(
      fc.property(anyAnswer, ({ answer }) => {
        for (const text of allText(answer)) {
          expect(text).not.toMatch(OVERSTATED);
          expect(text).not.toMatch(DIAGNOSING);
          expect(text).not.toMatch(/undefined|NaN|null|\.\.| {2}/);
          expect(text).toMatch(/\.$/);
        }
      }),
      { numRuns: 150 },
    );
  });
  it('give the detection limit with every measured value, and an interval', () => {
    fc.assert(
      fc.property(anyAnswer, ({ answer, comparison }) => {
        for (const { measures, whyNot, sentence, zone, finding } of answer.rows) {
          expect(measures.length === 0).toBe(whyNot !== null);
          const result = comparison.zones.find((one) => one.zone === zone)!;
          if (finding === 'within-error') {
            expect(sentence).toContain(`smallest detectable change ${fixed(result.metrics.volumeMl!.sdc, 2)}\u00a0mL`);
            expect(sentence).toContain(`smallest detectable change ${fixed(result.metrics.lightnessDelta!.sdc, 1)}\u00a0L*`);
          }
          if (whyNot !== null) expect(sentence).toContain(whyNot);
          expect((sentence.match(/95 % interval/g) ?? []).length).toBe((sentence.match(/smallest detectable change/g) ?? []).length);
        }
      }),
      { numRuns: 150 },
    );
  });
  it('say beyond error exactly where the comparison does, and never of a reference or an untrusted pair', () => {
    fc.assert(
      fc.property(anyAnswer, ({ answer, comparison, zones }) => {
        const found = answer.rows.filter(({ finding }) => finding === 'beyond-error').map(({ zone }) => zone);
        const wanted = comparison.control.trusted
          ? comparison.zones
              .filter((zone) => zone.finding === 'beyond-error' && !REFERENCE_ZONES.includes(zone.zone))
              .map(({ zone }) => zone)
          : [];
        expect(new Set(found)).toEqual(new Set(wanted));
        expect(answer.rows.filter(({ named }) => named).map(({ zone }) => zone)).toEqual(ZONE_IDS.filter((zone) => zones.includes(zone)));
        if (!answer.usable) expect(about(answer, 'measurement')).toBe('');
      }),
      { numRuns: 150 },
    );
  });
  it('offer referral to all alike: nothing the patient says is scored', () => {
    const refer = ({ next }: ComplaintAnswer) => next.find(({ step }) => step === 'refer');
    fc.assert(
      fc.property(anyAnswer, ({ answer }) => {
        expect(refer(answer)).toEqual(refer(answerOf()));
        for (const { reasons } of answer.next) expect(reasons.length).toBeGreaterThan(0);
      }),
      { numRuns: 50 },
    );
    expect(DISTRESS_NOTE).not.toMatch(/score|dysmorph|diagnos|\d/i);
  });
  it('never repeat the patient\u2019s words as the program\u2019s own', () => {
    expect(allText(answerOf()).join(' ')).not.toContain('for the better');
  });
});

describe('law: days', () => {
  it('are added and taken back', () => {
    fc.assert(
      fc.property(fc.integer({ min: -20_000, max: 20_000 }), fc.integer({ min: -800, max: 800 }), (from, n) => {
        const day = addDays('2026-01-01', from);
        expect(daysBetween(day, addDays(day, n))).toBe(n);
      }),
    );
    expect([addDays('2028-02-28', 1), addDays('2026-12-31', 1)]).toEqual(['2028-02-29', '2027-01-01']);
  });
});

describe('refusal', () => {
  it('will not answer before the measurement is revealed', () => {
    const complaint = { ...complaintOf(['chin'], { chin: 'cannot-say' }), stage: 'rated' as const, revealed: null };
    const given = {
      comparison: sampleComparison(),
      beforeOn: '2026-09-01',
      afterOn: '2026-11-20',
      treatments: [],
      facts: USUAL_SETTINGS.facts,
    };
    expect(() => complaintAnswer({ complaint, ...given })).toThrow(RangeError);
    expect(Object.keys(GRADE_WORDS)).toEqual([...EXAMINER_GRADES]);
  });
});
