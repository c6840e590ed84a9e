/**
 * The book of cases: one interface, so that SQLite can be exchanged for another store. Every writing method also writes its
 * line of the audit, in the same transaction. Conventions of ids, days and revisions are those of shared/case.ts.
 */
import type {
  AuditLine,
  CaseComparison,
  CaseDraft,
  CaseFile,
  CaseReport,
  Complaint,
  ComplaintDraft,
  Conclusion,
  Consent,
  ConsentDraft,
  ExaminerPart,
  PatientCase,
  PatientPart,
  ReportKind,
  Treatment,
  TreatmentDraft,
  Visit,
  VisitDraft,
  VisitPhoto,
} from '#shared/case.ts';
import type { View } from '#shared/comparison.ts';
import type { CompareRequest } from '#shared/job.ts';
import type { Outcome } from '#shared/outcome.ts';
import type { PracticeSettings } from '#shared/practice.ts';

/**
 * `gone`: there is no such thing (any more). `changed-meanwhile`: another editor was first; load it again. `taken`: the code is in use.
 * `out-of-order`: the complaint is not at that stage. `locked`: signed or recorded, and never edited. `in-use`: something rests on it.
 * `no-consent`: photographs need the patient's consent. `unfit`: the request breaks a rule said in the detail.
 */
export type CaseFault = 'gone' | 'changed-meanwhile' | 'taken' | 'out-of-order' | 'locked' | 'in-use' | 'no-consent' | 'unfit';
type Answer<T> = Promise<Outcome<T, CaseFault>>;

export type CaseSummary = Readonly<{
  id: string;
  code: string;
  visits: number;
  photos: number;
  firstOn: string | null;
  lastOn: string | null;
  openComplaints: number;
  createdAt: string;
}>;

/** A photograph to be put into a visit. It must be on the shelf already. */
export type VisitPhotoDraft = Readonly<{ sha256: string; name: string; view: View; takenAt: string | null }>;

/** What one person does with the cases; `actor` is on every line of the audit. */
export type CaseBook = {
  addCase(draft: CaseDraft): Answer<PatientCase>;
  editCase(id: string, revision: number, draft: CaseDraft): Answer<PatientCase>;
  /** Newest activity first. `search` looks in codes alone. */
  listCases(which?: { search?: string; limit?: number }): Promise<CaseSummary[]>;
  /** Opens the case: leaves a `view` line. Null when there is none. */
  openCase(id: string): Promise<CaseFile | null>;
  /** The same without a line, for the program's own needs such as a refresh of an opened page. */
  caseFile(id: string): Promise<CaseFile | null>;
  /** Erases the case with its comparisons, reports and photographs (those no other case uses), and leaves one line. */
  deleteCase(id: string): Answer<{ photos: number; comparisons: number; reports: number }>;

  addConsent(caseId: string, draft: ConsentDraft): Answer<Consent>;
  withdrawConsent(caseId: string, consentId: string, on: string): Answer<Consent>;

  addVisit(caseId: string, draft: VisitDraft): Answer<Visit>;
  editVisit(id: string, revision: number, draft: VisitDraft): Answer<Visit>;
  /** Photographs no other visit uses are erased. Refused while a comparison, complaint or report rests on it. */
  deleteVisit(id: string, revision: number): Answer<true>;
  setBaseline(visitId: string): Answer<Visit>;
  /**
   * Puts photographs into visits, all or none: days that have no visit yet get one (a case's first is its baseline). A photograph that
   * already is in the case is left where it is and counted. The first of a view becomes the chosen one. Needs consent to photographs.
   */
  addPhotos(
    caseId: string,
    days: readonly { on: string; photos: readonly VisitPhotoDraft[] }[],
  ): Answer<{ added: number; already: number; visits: Visit[] }>;
  setPhotoView(visitId: string, sha256: string, view: View): Answer<Visit>;
  choosePhoto(visitId: string, sha256: string): Answer<Visit>;
  removePhotoFromVisit(visitId: string, sha256: string): Answer<Visit>;
  /** The case and visit of each photograph that is in one. */
  whereIsPhoto(sha256: string): Promise<{ case: string; visit: string; photo: VisitPhoto }[]>;

  addTreatment(caseId: string, draft: TreatmentDraft): Answer<Treatment>;
  editTreatment(id: string, revision: number, draft: TreatmentDraft): Answer<Treatment>;
  deleteTreatment(id: string, revision: number): Answer<true>;

  /**
   * Enqueues the comparison of two visits (chosen photographs of the views that both have; zones and day of the last treatment
   * before the after visit) unless an equal one is there; `again` measures anew, as after an update. Refused with `unfit` when they share no view.
   */
  compareVisits(
    caseId: string,
    before: string,
    after: string,
    how?: { again?: boolean; setUp?: string; scale?: CompareRequest['options']['scale'] },
  ): Answer<CaseComparison>;

  /** Which case and visits a comparison belongs to; null for one of the bench. */
  caseComparison(id: string): Promise<(CaseComparison & { case: string }) | null>;
  /** Erases any comparison, with photographs that nothing else uses. Refused with `in-use` while a complaint or a report rests on it. */
  deleteComparison(id: string): Answer<true>;

  openComplaint(caseId: string, draft: ComplaintDraft): Answer<Complaint>;
  complaint(id: string): Promise<Complaint | null>;
  hear(id: string, revision: number, part: PatientPart): Answer<Complaint>;
  rate(id: string, revision: number, part: ExaminerPart): Answer<Complaint>;
  /** Records the moment; only after the rating. `comparison` must be of the complaint's two visits and done. */
  reveal(id: string, revision: number, comparison: string): Answer<Complaint>;
  conclude(id: string, revision: number, part: Conclusion): Answer<Complaint>;
  addToComplaint(id: string, text: string): Answer<Complaint>;

  /** Keeps a draft's PDF; an older draft of the same thing is replaced, a signed one makes this the next version. */
  putReport(caseId: string, kind: ReportKind, about: string, pdf: Uint8Array): Answer<CaseReport>;
  /** Keeps the PDF that carries the signature, and locks it. `draftId` must be the newest version and still a draft. */
  signReport(draftId: string, by: string, pdf: Uint8Array): Answer<CaseReport>;
  report(id: string): Promise<CaseReport | null>;
  /** Leaves an `export` line. */
  reportPdf(id: string): Promise<Uint8Array | null>;

  settings(): Promise<PracticeSettings>;
  editSettings(revision: number, settings: Omit<PracticeSettings, 'revision'>): Answer<PracticeSettings>;

  /** Writes a line for something that is no change of the book: a page or a file that was looked at or taken away. */
  note(line: Pick<AuditLine, 'action' | 'what' | 'id' | 'case' | 'facts'>): Promise<void>;
};

export type AuditTrail = {
  /** Newest first. */
  lines(which?: { case?: string; before?: number; limit?: number }): Promise<AuditLine[]>;
  /**
   * Walks the whole chain. `firstBad` is the number of the first line whose hash does not follow, or that is missing. `outside` says whether
   * a head kept beside the tables agrees; without one, last lines that were cut off do not show. `noted`: a head somebody wrote down earlier.
   */
  verify(noted?: {
    n: number;
    hash: string;
  }): Promise<{ lines: number; head: string } & ({ ok: true; outside: 'agrees' | 'none' } | { ok: false; firstBad: number; why: string })>;
};

export type CaseRecord = {
  /** The book in the hands of one person. */
  casesAs(actor: string): CaseBook;
  audit: AuditTrail;
};
