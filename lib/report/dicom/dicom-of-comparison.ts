/** A Comparison and its photographs as DICOM files: one VL Photographic Image for each photograph, and one report that refers to them. */

import { type ExchangeFacts, type ExchangePhotograph, momentOf, orderedInputs, reportDay, subjectOf } from '#lib/report/exchange/facts.ts';
import type { Comparison } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { readJpegFrame } from './jpeg-frame.ts';
import { type ReferredImage, reportDataSet } from './measurement-report.ts';
import { studyUid } from './modules.ts';
import { photographDataSet, seriesUid, VL_PHOTOGRAPHIC } from './photograph.ts';
import { EXPLICIT_LITTLE, JPEG_BASELINE, writeDicom } from './write.ts';

export type DicomFault = 'not-comparable' | 'no-day' | 'bad-code' | 'not-baseline';
export type DicomFile = Readonly<{ name: string; bytes: Uint8Array }>;

/** What a patient's identifier may hold: LO, PS3.5 table 6.2-1. */
const PATIENT_ID = /^[^\\\p{C}]{1,64}$/u;

/**
 * `before-frontal.dcm` and its like, and `report.dcm`. Same inputs, same bytes. Photographs that are not given are not referred to.
 * Refuses a pair that is not comparable, a pair without any day, a code that DICOM cannot hold, and a picture that is no JPEG
 * Baseline with three components. Throws RangeError for a photograph that is no input of the Comparison.
 */
export function dicomOfComparison(
  comparison: Comparison,
  photographs: readonly ExchangePhotograph[],
  facts: ExchangeFacts = {},
): Outcome<readonly DicomFile[], DicomFault> {
  const stray = photographs.find(({ role, view }) => !comparison.inputs.some((input) => input.role === role && input.view === view));
  if (stray) throw new RangeError(`the comparison has no ${stray.view} photograph ${stray.role}`);
  if (!comparison.gate.comparable || comparison.zones.length === 0)
    return refused(
      'not-comparable',
      'The photographs of this pair are not comparable, so there is no measurement that a DICOM report could carry.',
    );
  const subject = subjectOf(comparison, facts);
  if (!PATIENT_ID.test(subject.trim()))
    return refused(
      'bad-code',
      `A DICOM patient identifier has 1 to 64 characters and no backslash; "${subject.slice(0, 80)}" cannot be one. Give a shorter code.`,
    );
  const day = reportDay(comparison, facts);
  if (day === null)
    return refused(
      'no-day',
      'The photographs do not say when they were taken, and a DICOM report needs a day. Give the day of the after photographs.',
    );

  const files: DicomFile[] = [];
  const images: ReferredImage[] = [];
  for (const input of orderedInputs(comparison)) {
    const photograph = photographs.find(({ role, view }) => role === input.role && view === input.view);
    if (!photograph) continue;
    const frame = readJpegFrame(photograph.jpeg);
    if (!frame?.baseline || frame.components !== 3)
      return refused(
        'not-baseline',
        `The picture of the ${input.view} view ${input.role} is no JPEG Baseline in colour, the only kind that is put into a DICOM file here.`,
      );
    const dataSet = photographDataSet(comparison, input, photograph, frame, facts);
    files.push({ name: `${input.role}-${input.view}.dcm`, bytes: writeDicom(dataSet, JPEG_BASELINE) });
    const study = studyUid(comparison, facts, input.role);
    images.push({
      role: input.role,
      view: input.view,
      day: momentOf(input, facts)?.day ?? null,
      sopClass: VL_PHOTOGRAPHIC,
      sopInstance: String(dataSet.SOPInstanceUID),
      series: seriesUid(study),
      study,
    });
  }
  const report = writeDicom(reportDataSet(comparison, images, facts, day), EXPLICIT_LITTLE);
  return found([...files, { name: 'report.dcm', bytes: report }]);
}
