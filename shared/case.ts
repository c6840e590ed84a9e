/**
 * The case: what is known of one person's treatment, from the first consultation to the last review, as it crosses HTTP and the record.
 *
 * Days are local calendar days, `YYYY-MM-DD`; times are ISO 8601 in UTC. Ids are 32 hexadecimal digits. Whatever can be edited
 * carries a `revision`, which the editor hands back: who edits what another has changed meanwhile is told, and overwrites nothing.
 * Free text (name, the patient's words, notes) is sealed in the record; it is plain here.
 */
import { z } from 'zod';
import { viewSchema, zoneIdSchema } from './comparison.ts';
import { daySchema, idSchema, sha256Schema } from './job.ts';

const revisionSchema = z.number().int().positive();
const noteSchema = z.string().max(4000);

/** A pseudonymous code: what lists, reports and exports call the person. Letters, digits, hyphen, dot. */
export const caseCodeSchema = z
  .string()
  .trim()
  .regex(/^[A-Za-z0-9](?:[A-Za-z0-9.-]{0,30}[A-Za-z0-9])?$/, 'A code has 1 to 32 letters, digits, hyphens or dots, and no name in it.');

export const caseDraftSchema = z.object({
  code: caseCodeSchema,
  /** Kept sealed, and shown on the case page alone. */
  name: z.string().trim().max(120).nullable(),
  birthYear: z.number().int().min(1900).max(2100).nullable(),
  note: noteSchema,
});
export type CaseDraft = z.infer<typeof caseDraftSchema>;
export const patientCaseSchema = caseDraftSchema.extend({ id: idSchema, createdAt: z.string(), revision: revisionSchema });
/** `case` is a word of the language, so the type has another. */
export type PatientCase = z.infer<typeof patientCaseSchema>;

/** What the patient agreed to. `photographs`: taking, keeping and measuring them. `research`: use in a de-identified series. */
export const CONSENT_KINDS = ['photographs', 'research'] as const;
export const consentDraftSchema = z.object({ kind: z.enum(CONSENT_KINDS), givenOn: daySchema, note: noteSchema });
export type ConsentDraft = z.infer<typeof consentDraftSchema>;
export const consentSchema = consentDraftSchema.extend({ id: idSchema, withdrawnOn: daySchema.nullable(), recordedAt: z.string() });
export type Consent = z.infer<typeof consentSchema>;

export const visitDraftSchema = z.object({
  on: daySchema,
  /** Such as "day 4"; may be empty. */
  label: z.string().trim().max(60),
  note: noteSchema,
});
export type VisitDraft = z.infer<typeof visitDraftSchema>;
export const visitPhotoSchema = z.object({
  sha256: sha256Schema,
  name: z.string().min(1).max(255),
  view: viewSchema,
  /** Local time as the camera wrote it, or null. */
  takenAt: z.string().nullable(),
  /** The one photograph of its view that comparisons use. */
  chosen: z.boolean(),
});
export type VisitPhoto = z.infer<typeof visitPhotoSchema>;
export const visitSchema = visitDraftSchema.extend({
  id: idSchema,
  case: idSchema,
  /** The visit that comparisons start from unless told otherwise; at most one of a case. */
  baseline: z.boolean(),
  photos: z.array(visitPhotoSchema),
  revision: revisionSchema,
});
export type Visit = z.infer<typeof visitSchema>;

export const PURPOSES = ['gel-placed', 'gel-dissolved', 'gel-pressed-out', 'energy-device'] as const;
export const PRODUCT_CLASSES = [
  'ha-gel-strongly-water-drawing',
  'ha-gel-weakly-water-drawing',
  'calcium-hydroxylapatite',
  'silicone',
  'fat',
  'unknown',
] as const;

/** Amount of enzyme solution that was injected, as it was read. Marks are of a syringe that has `marksPerMl` of them. */
export const solutionAmountSchema = z.discriminatedUnion('kind', [
  z.object({ kind: z.literal('ml'), ml: z.number().positive().max(20) }),
  z.object({ kind: z.literal('marks'), marks: z.number().positive().max(1000), marksPerMl: z.number().positive().max(1000) }),
]);
export type SolutionAmount = z.infer<typeof solutionAmountSchema>;
export const enzymeSchema = z.object({
  /** Units in the vial (USP units) and the mL they were dissolved in: strength is the one over the other. */
  vialUnits: z.number().positive().max(100_000),
  dissolvedInMl: z.number().positive().max(100),
  diluent: z.enum(['saline', 'bacteriostatic-saline', 'lidocaine-1-percent', 'lidocaine-2-percent', 'water', 'other']),
  amount: solutionAmountSchema,
  /** Mixed with this much of something else before it was injected, mL; 0 when not mixed. */
  mixedWithMl: z.number().nonnegative().max(20),
});
export type Enzyme = z.infer<typeof enzymeSchema>;
export const treatmentDraftSchema = z.object({
  on: daySchema,
  zones: z.array(zoneIdSchema).min(1),
  purpose: z.enum(PURPOSES),
  productClass: z.enum(PRODUCT_CLASSES).nullable(),
  /** Of gel placed or pressed out, mL; null when not known. */
  volumeMl: z.number().positive().max(50).nullable(),
  /** Only where gel was dissolved; null when nothing is known of it. */
  enzyme: enzymeSchema.nullable(),
  /** Number of passes with enzyme in these zones so far, this one included; for the estimate of gel left. */
  pass: z.number().int().min(1).max(10).nullable(),
  note: noteSchema,
});
export type TreatmentDraft = z.infer<typeof treatmentDraftSchema>;
export const treatmentSchema = treatmentDraftSchema.extend({ id: idSchema, case: idSchema, revision: revisionSchema });
export type Treatment = z.infer<typeof treatmentSchema>;

/** How often the patient thinks of it, in their own account. */
export const HOW_OFTEN = ['seldom', 'some-days', 'most-days', 'every-day', 'many-times-a-day'] as const;
/** What the patient says, before any result is shown. */
export const patientPartSchema = z.object({
  words: z.string().trim().min(1).max(8000),
  /** 0 no trouble at all, 10 the worst. */
  severity: z.number().int().min(0).max(10),
  howOften: z.enum(HOW_OFTEN),
  zones: z.array(zoneIdSchema),
  /** Where they pointed on their own photograph: fractions of its width and height, from the top left. */
  marks: z.array(z.object({ x: z.number().min(0).max(1), y: z.number().min(0).max(1) })).max(40),
  /** The photograph that carries the marks. */
  marksOn: sha256Schema.nullable().optional(),
  /** The earlier photograph they call themselves. */
  callsMe: sha256Schema.nullable(),
});
export type PatientPart = z.infer<typeof patientPartSchema>;
/** The examiner's own eye: the after photographs against the before. `cannot-say` is an answer. */
export const EXAMINER_GRADES = ['clearly-less', 'slightly-less', 'no-difference', 'slightly-more', 'clearly-more', 'cannot-say'] as const;
export const examinerPartSchema = z.object({
  examiner: z.string().trim().min(1).max(120),
  /** Fullness of each zone. Every zone the patient named must be there; others may. */
  grades: z.partialRecord(zoneIdSchema, z.enum(EXAMINER_GRADES)),
  note: noteSchema,
});
export type ExaminerPart = z.infer<typeof examinerPartSchema>;
export const NEXT_STEPS = ['wait', 'retake', 'review-again', 'discuss', 'refer', 'none'] as const;
export const conclusionSchema = z.object({ steps: z.array(z.enum(NEXT_STEPS)).min(1), reviewOn: daySchema.nullable(), note: noteSchema });
export type Conclusion = z.infer<typeof conclusionSchema>;

export const complaintDraftSchema = z.object({ on: daySchema, beforeVisit: idSchema, afterVisit: idSchema });
export type ComplaintDraft = z.infer<typeof complaintDraftSchema>;
/** The order is enforced: heard, then rated, then revealed, then concluded. A part that was recorded is never edited. */
export const COMPLAINT_STAGES = ['opened', 'heard', 'rated', 'revealed', 'concluded'] as const;
export type ComplaintStage = (typeof COMPLAINT_STAGES)[number];
const at = <T extends z.ZodType>(part: T) => z.object({ at: z.string(), part }).nullable();
export const complaintSchema = complaintDraftSchema.extend({
  id: idSchema,
  case: idSchema,
  stage: z.enum(COMPLAINT_STAGES),
  openedAt: z.string(),
  patient: at(patientPartSchema),
  examiner: at(examinerPartSchema),
  /** When the measurement was first shown, and which comparison it is. */
  revealed: z.object({ at: z.string(), comparison: idSchema }).nullable(),
  conclusion: at(conclusionSchema),
  /** Later additions; what stands is not changed. */
  additions: z.array(z.object({ at: z.string(), by: z.string(), text: z.string() })),
  revision: revisionSchema,
});
export type Complaint = z.infer<typeof complaintSchema>;

/** A comparison of two visits of a case. */
export const caseComparisonSchema = z.object({
  /** The job's id, and the comparison's once it is done. */
  id: idSchema,
  beforeVisit: idSchema,
  afterVisit: idSchema,
  createdAt: z.string(),
});
export type CaseComparison = z.infer<typeof caseComparisonSchema>;

export const REPORT_KINDS = ['comparison', 'complaint', 'patient-sheet'] as const;
export type ReportKind = (typeof REPORT_KINDS)[number];
/** A report that was signed is locked; what changes afterwards makes the next version. */
export const caseReportSchema = z.object({
  id: idSchema,
  case: idSchema,
  kind: z.enum(REPORT_KINDS),
  /** The comparison's or the complaint's id. */
  about: idSchema,
  version: z.number().int().positive(),
  state: z.enum(['draft', 'signed']),
  createdAt: z.string(),
  signed: z.object({ by: z.string(), at: z.string() }).nullable(),
  /** Of the PDF as it is kept. */
  sha256: sha256Schema,
  bytes: z.number().int(),
});
export type CaseReport = z.infer<typeof caseReportSchema>;

/** Everything of one case that its page shows, photographs apart. */
export type CaseFile = Readonly<{
  patientCase: PatientCase;
  consents: readonly Consent[];
  /** Oldest first, like everything below. */
  visits: readonly Visit[];
  treatments: readonly Treatment[];
  complaints: readonly Complaint[];
  comparisons: readonly CaseComparison[];
  reports: readonly CaseReport[];
}>;

export const AUDIT_ACTIONS = ['view', 'add', 'change', 'sign', 'export', 'delete', 'sign-in', 'sign-in-refused', 'restore'] as const;
export const auditLineSchema = z.object({
  /** 1, 2, 3 ... without a gap. */
  n: z.number().int().positive(),
  at: z.string(),
  /** Who: the system's user on this machine alone, or the name given when signing in. */
  actor: z.string(),
  action: z.enum(AUDIT_ACTIONS),
  /** What kind of thing, and which: `case`, `photo`, `visit`, ...; an id or an address, never a name. */
  what: z.string(),
  id: z.string(),
  /** The case it belongs to, when it does. */
  case: idSchema.nullable(),
  /** Facts without free text, such as the number of photographs erased. */
  facts: z.record(z.string(), z.union([z.string(), z.number(), z.boolean(), z.null()])),
  /** SHA-256 over the hash before and this line as canonical JSON; 64 zeros stand before the first. */
  hash: sha256Schema,
});
export type AuditLine = z.infer<typeof auditLineSchema>;
