/** A treatment as it stands in the fields of a form, all text, and the treatment that it says. */
import { type Enzyme, type TreatmentDraft, treatmentDraftSchema } from '#shared/case.ts';
import { U100_MARKS_PER_ML } from '#shared/dilution.ts';
import { ZONE_IDS, type ZoneId } from '#shared/zones.ts';

export type TreatmentFields = Readonly<{
  on: string;
  zones: ReadonlySet<ZoneId>;
  purpose: TreatmentDraft['purpose'];
  productClass: NonNullable<TreatmentDraft['productClass']> | '';
  volumeMl: string;
  /** The amounts of enzyme are known; without it nothing is kept of the fields below. */
  enzymeKnown: boolean;
  vialUnits: string;
  dissolvedInMl: string;
  diluent: Enzyme['diluent'];
  amountKind: 'ml' | 'marks';
  ml: string;
  marks: string;
  marksPerMl: string;
  mixedWithMl: string;
  pass: string;
  note: string;
}>;

export const emptyFields = (on: string): TreatmentFields => ({
  on,
  zones: new Set(),
  purpose: 'gel-dissolved',
  productClass: '',
  volumeMl: '',
  enzymeKnown: true,
  vialUnits: '',
  dissolvedInMl: '',
  diluent: 'saline',
  amountKind: 'ml',
  ml: '',
  marks: '',
  marksPerMl: String(U100_MARKS_PER_ML),
  mixedWithMl: '0',
  pass: '',
  note: '',
});

export function fieldsOf(treatment: TreatmentDraft): TreatmentFields {
  const { enzyme } = treatment;
  return {
    ...emptyFields(treatment.on),
    zones: new Set(treatment.zones),
    purpose: treatment.purpose,
    productClass: treatment.productClass ?? '',
    volumeMl: text(treatment.volumeMl),
    pass: text(treatment.pass),
    note: treatment.note,
    enzymeKnown: enzyme !== null,
    ...(enzyme && {
      vialUnits: text(enzyme.vialUnits),
      dissolvedInMl: text(enzyme.dissolvedInMl),
      diluent: enzyme.diluent,
      amountKind: enzyme.amount.kind,
      ...(enzyme.amount.kind === 'ml'
        ? { ml: text(enzyme.amount.ml) }
        : { marks: text(enzyme.amount.marks), marksPerMl: text(enzyme.amount.marksPerMl) }),
      mixedWithMl: text(enzyme.mixedWithMl),
    }),
  };
}

export type FieldFault = Readonly<{ field: keyof TreatmentFields; message: string }>;
type Draft = Readonly<{ ok: true; draft: TreatmentDraft }> | Readonly<{ ok: false; faults: readonly FieldFault[] }>;

/** What the fields say, or every field that does not say it yet. */
export function draftOf(fields: TreatmentFields): Draft {
  const dissolved = fields.purpose === 'gel-dissolved';
  const withEnzyme = dissolved && fields.enzymeKnown;
  const faults: FieldFault[] = [];
  const want = (field: keyof TreatmentFields, bad: boolean, message: string) => bad && faults.push({ field, message });
  const positive = (field: keyof TreatmentFields, most: number, what: string): number => {
    const value = numberOf(fields[field] as string);
    want(
      field,
      !(value > 0 && value <= most),
      `${what} must be a number above 0 and up to ${most.toLocaleString('en').replace(',', '\u00a0')}.`,
    );
    return value;
  };
  want('on', !/^\d{4}-\d{2}-\d{2}$/.test(fields.on), 'The day of the treatment is missing.');
  want('zones', fields.zones.size === 0, 'Choose at least one zone.');
  const volumeMl =
    fields.volumeMl.trim() === '' || dissolved || fields.purpose === 'energy-device' ? null : positive('volumeMl', 50, 'The volume');
  const pass = fields.pass.trim() === '' || !dissolved ? null : numberOf(fields.pass);
  want('pass', pass !== null && !(Number.isInteger(pass) && pass >= 1 && pass <= 10), 'The pass must be a whole number from 1 to 10.');
  const enzyme = withEnzyme ? enzymeOf(fields, positive, want) : null;
  if (faults.length > 0) return { ok: false, faults };
  const draft = treatmentDraftSchema.safeParse({
    on: fields.on,
    zones: ZONE_IDS.filter((zone) => fields.zones.has(zone)),
    purpose: fields.purpose,
    productClass: fields.productClass || null,
    volumeMl,
    enzyme,
    pass,
    note: fields.note,
  });
  if (draft.success) return { ok: true, draft: draft.data };
  return {
    ok: false,
    faults: draft.error.issues.map(({ path, message }) => ({ field: (path[0] ?? 'note') as keyof TreatmentFields, message })),
  };
}

function enzymeOf(
  fields: TreatmentFields,
  positive: (field: keyof TreatmentFields, most: number, what: string) => number,
  want: (field: keyof TreatmentFields, bad: boolean, message: string) => unknown,
): Enzyme {
  const mixedWithMl = fields.mixedWithMl.trim() === '' ? 0 : numberOf(fields.mixedWithMl);
  want('mixedWithMl', !(mixedWithMl >= 0 && mixedWithMl <= 20), 'What it was mixed with must be a number from 0 to 20 mL.');
  return {
    vialUnits: positive('vialUnits', 100_000, 'The units of the vial'),
    dissolvedInMl: positive('dissolvedInMl', 100, 'The volume it was dissolved in'),
    diluent: fields.diluent,
    amount:
      fields.amountKind === 'ml'
        ? { kind: 'ml', ml: positive('ml', 20, 'The amount in mL') }
        : {
            kind: 'marks',
            marks: positive('marks', 1000, 'The number of marks'),
            marksPerMl: positive('marksPerMl', 1000, 'The marks per mL'),
          },
    mixedWithMl,
  };
}

/** Reads "0,1" as well as "0.1"; NaN for what is no number. */
export const numberOf = (typed: string): number =>
  /^\s*\d*[.,]?\d+\s*$|^\s*\d+[.,]\s*$/.test(typed) ? Number(typed.trim().replace(',', '.')) : Number.NaN;

const text = (value: number | null): string => (value === null ? '' : String(value));

/** The enzyme as far as it is typed, for sums that follow the typing; null while a number is missing. */
export function enzymeSoFar(fields: TreatmentFields): Enzyme | null {
  const whole = draftOf({ ...fields, on: '2000-01-01', zones: new Set(['chin']), pass: '', note: '' });
  return whole.ok ? whole.draft.enzyme : null;
}
