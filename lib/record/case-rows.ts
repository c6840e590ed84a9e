/** Rows of the book of cases as the shapes of shared/case.ts, and back: what is sealed is opened and checked here. */
import {
  type CaseComparison,
  type CaseReport,
  type Complaint,
  type Consent,
  caseComparisonSchema,
  caseReportSchema,
  complaintSchema,
  consentSchema,
  type PatientCase,
  patientCaseSchema,
  type Treatment,
  treatmentSchema,
  type Visit,
  type VisitPhoto,
  visitPhotoSchema,
  visitSchema,
} from '#shared/case.ts';
import type { Row } from './database.ts';
import type { Vault } from './vault.ts';

/** Seals plain data for one column of one row; `purpose` names both, so that no sealed text can stand in another's place. */
export const sealed = (vault: Vault, purpose: string, data: unknown): string => vault.sealText(JSON.stringify(data), purpose);
const opened = (vault: Vault, purpose: string, text: Row[string]): unknown => JSON.parse(vault.openText(String(text), purpose));

export const PURPOSE = {
  patientCase: (id: string) => `case:${id}`,
  consent: (id: string) => `consent:${id}`,
  visit: (id: string) => `visit:${id}`,
  visitPhoto: (visit: string, sha256: string) => `visit-photo:${visit}:${sha256}`,
  treatment: (id: string) => `treatment:${id}`,
  heard: (id: string) => `complaint.heard:${id}`,
  rated: (id: string) => `complaint.rated:${id}`,
  concluded: (id: string) => `complaint.concluded:${id}`,
  addition: (id: string, n: number) => `complaint.addition:${id}:${n}`,
  signature: (id: string) => `report.signature:${id}`,
  pdf: (sha256: string) => `report.pdf:${sha256}`,
} as const;

export const caseOf = (vault: Vault, row: Row): PatientCase =>
  patientCaseSchema.parse({
    ...(opened(vault, PURPOSE.patientCase(String(row.id)), row.sealed!) as object),
    id: row.id,
    code: row.code,
    createdAt: row.created_at,
    revision: row.revision,
  });

export const consentOf = (vault: Vault, row: Row): Consent =>
  consentSchema.parse({
    ...(opened(vault, PURPOSE.consent(String(row.id)), row.sealed!) as object),
    id: row.id,
    kind: row.kind,
    givenOn: row.given_on,
    withdrawnOn: row.withdrawn_on,
    recordedAt: row.recorded_at,
  });

export const visitPhotoOf = (vault: Vault, row: Row): VisitPhoto =>
  visitPhotoSchema.parse({
    ...(opened(vault, PURPOSE.visitPhoto(String(row.visit), String(row.sha256)), row.sealed!) as object),
    sha256: row.sha256,
    view: row.view,
    takenAt: row.taken_at,
    chosen: row.chosen === 1,
  });

export const visitOf = (vault: Vault, row: Row, photos: readonly Row[]): Visit =>
  visitSchema.parse({
    ...(opened(vault, PURPOSE.visit(String(row.id)), row.sealed!) as object),
    id: row.id,
    case: row.case_id,
    on: row.on_day,
    baseline: row.baseline === 1,
    photos: photos.map((photo) => visitPhotoOf(vault, photo)),
    revision: row.revision,
  });

export const treatmentOf = (vault: Vault, row: Row): Treatment =>
  treatmentSchema.parse({
    ...(opened(vault, PURPOSE.treatment(String(row.id)), row.sealed!) as object),
    id: row.id,
    case: row.case_id,
    on: row.on_day,
    revision: row.revision,
  });

export const complaintOf = (vault: Vault, row: Row, additions: readonly Row[]): Complaint => {
  const id = String(row.id);
  const part = (at: Row[string] | undefined, text: Row[string] | undefined, purpose: string) =>
    at === null || at === undefined ? null : { at, part: opened(vault, purpose, text ?? null) };
  return complaintSchema.parse({
    id,
    case: row.case_id,
    on: row.on_day,
    beforeVisit: row.before_visit,
    afterVisit: row.after_visit,
    stage: row.stage,
    openedAt: row.opened_at,
    patient: part(row.heard_at, row.heard_sealed, PURPOSE.heard(id)),
    examiner: part(row.rated_at, row.rated_sealed, PURPOSE.rated(id)),
    revealed: row.revealed_at === null ? null : { at: row.revealed_at, comparison: row.revealed_comparison },
    conclusion: part(row.concluded_at, row.concluded_sealed, PURPOSE.concluded(id)),
    additions: additions.map((one) => ({
      at: one.at,
      ...(opened(vault, PURPOSE.addition(id, Number(one.n)), one.sealed!) as object),
    })),
    revision: row.revision,
  });
};

export const caseComparisonOf = (row: Row): CaseComparison =>
  caseComparisonSchema.parse({ id: row.id, beforeVisit: row.before_visit, afterVisit: row.after_visit, createdAt: row.created_at });

export const reportOf = (vault: Vault, row: Row): CaseReport =>
  caseReportSchema.parse({
    id: row.id,
    case: row.case_id,
    kind: row.kind,
    about: row.about,
    version: row.version,
    state: row.signed_at === null ? 'draft' : 'signed',
    createdAt: row.created_at,
    signed:
      row.signed_at === null
        ? null
        : { ...(opened(vault, PURPOSE.signature(String(row.id)), row.signed_sealed!) as object), at: row.signed_at },
    sha256: row.sha256,
    bytes: row.bytes,
  });
