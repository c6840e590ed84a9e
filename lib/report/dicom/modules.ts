/**
 * The modules that a photograph and a report share: patient, study, equipment.
 * Source  DICOM PS3.3 C.7.1.1, C.7.2.1, C.7.5.1, C.12.1, table 8.8-1.
 */

import type { Code } from '#lib/report/exchange/codes.ts';
import { derivedUid } from '#lib/report/exchange/derived-id.ts';
import { type ExchangeFacts, type Moment, type Role, subjectOf, visitMoment } from '#lib/report/exchange/facts.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { DataSet } from './write.ts';

export const MAKER = 'Ebbline';

/** A code as an item of a sequence. */
export const codeItem = ({ scheme, value, meaning }: Code): DataSet => ({
  CodeValue: value,
  CodingSchemeDesignator: scheme,
  CodeMeaning: meaning,
});

/** "20260901". */
export const daText = (day: string): string => day.replaceAll('-', '');
/** "103000". */
export const tmText = (time: string): string => time.replaceAll(':', '');

export function patientModule(comparison: Comparison, facts: ExchangeFacts): DataSet {
  return { PatientName: facts.patientName ?? '', PatientID: subjectOf(comparison, facts), PatientBirthDate: '', PatientSex: '' };
}

/** Each visit is a study of its own, known by its photographs and the subject. */
export function studyUid(comparison: Comparison, facts: ExchangeFacts, role: Role): string {
  const hashes = comparison.inputs.filter((input) => input.role === role).map(({ sha256 }) => sha256);
  return derivedUid('study', subjectOf(comparison, facts), ...[...hashes].sort());
}

export function studyModule(comparison: Comparison, facts: ExchangeFacts, role: Role): DataSet {
  const moment = visitMoment(comparison, role, facts);
  return {
    StudyInstanceUID: studyUid(comparison, facts, role),
    StudyDate: moment ? daText(moment.day) : '',
    StudyTime: moment?.time ? tmText(moment.time) : '',
    ReferringPhysicianName: '',
    StudyID: role === 'before' ? '1' : '2',
    AccessionNumber: '',
    StudyDescription: 'Photographs of the face',
  };
}

/** The time is left out where it is unknown: PS3.3 C.8.12.1 forbids an empty one. */
export const contentMoment = (moment: Moment | null): DataSet => ({
  ContentDate: moment ? daText(moment.day) : '',
  ...(moment?.time ? { ContentTime: tmText(moment.time) } : {}),
});
