/**
 * A photograph as a VL Photographic Image: the JPEG encapsulated as it is, and what its elements must say of it.
 *
 * Source  DICOM PS3.3 A.32.4 (IOD), C.8.12.1 (VL image), C.7.6.1 (general image), C.7.6.3 (pixels), C.11.15 (profile);
 *         PS3.5 section 8.2.1 and annex A.4.1 (JPEG).
 */

import { FACE, viewCode } from '#lib/report/exchange/codes.ts';
import { derivedUid, sha256Hex } from '#lib/report/exchange/derived-id.ts';
import { type ExchangeFacts, type ExchangePhotograph, momentOf, orderedInputs } from '#lib/report/exchange/facts.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { Comparison, View } from '#shared/comparison.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import type { JpegFrame } from './jpeg-frame.ts';
import { codeItem, contentMoment, daText, MAKER, patientModule, studyModule, studyUid, tmText } from './modules.ts';
import { bufferOf, type DataSet } from './write.ts';

export const VL_PHOTOGRAPHIC = '1.2.840.10008.5.1.4.1.1.77.1.4';

type Input = Comparison['inputs'][number];

/** The side that a view shows; a frontal one shows both. */
const SHOWS: Readonly<Record<View, 'L' | 'R' | 'B'>> = {
  frontal: 'B',
  'oblique-left': 'L',
  'oblique-right': 'R',
  'lateral-left': 'L',
  'lateral-right': 'R',
};

/** A backslash would begin a second value. */
const oneValue = (text: string): string => text.replaceAll('\\', '/').slice(0, 64);

export const seriesUid = (study: string): string => derivedUid('photographs', study);

/** `frame` is the JPEG's own header, three components, Baseline. The instance's identifier follows from all that it holds. */
export function photographDataSet(
  comparison: Comparison,
  input: Input,
  { jpeg, original = false }: ExchangePhotograph,
  frame: JpegFrame,
  facts: ExchangeFacts,
): DataSet {
  const study = studyUid(comparison, facts, input.role);
  const moment = momentOf(input, facts);
  const number =
    orderedInputs(comparison)
      .filter(({ role }) => role === input.role)
      .indexOf(input) + 1;
  const described: DataSet = {
    SpecificCharacterSet: 'ISO_IR 192',
    SOPClassUID: VL_PHOTOGRAPHIC,
    ...patientModule(comparison, facts),
    ...studyModule(comparison, facts, input.role),
    Modality: 'XC',
    SeriesInstanceUID: seriesUid(study),
    SeriesNumber: 1,
    SeriesDescription: `Photographs, ${input.role}`,
    Manufacturer: '',
    ...(input.facts.camera ? { ManufacturerModelName: oneValue(input.facts.camera) } : {}),
    ContributingEquipmentSequence: [
      {
        PurposeOfReferenceCodeSequence: [codeItem({ scheme: 'DCM', value: '109103', meaning: 'Modifying Equipment' })],
        Manufacturer: MAKER,
        ManufacturerModelName: MAKER,
        SoftwareVersions: comparison.versions.ebbline || EBBLINE_VERSION,
      },
    ],
    InstanceNumber: number,
    // Rows run to the subject's left, columns to the feet, on an upright picture from the front.
    PatientOrientation: input.view === 'frontal' ? ['L', 'F'] : '',
    ImageLaterality: SHOWS[input.view],
    ...contentMoment(moment),
    ...(moment ? { AcquisitionDateTime: daText(moment.day) + (moment.time ? tmText(moment.time) : '') } : {}),
    ...(original
      ? { ImageType: ['ORIGINAL', 'PRIMARY'] }
      : { ImageType: ['DERIVED', 'PRIMARY'], DerivationDescription: 'Turned upright, converted to sRGB and compressed anew' }),
    ImageComments: viewCode(input.view).meaning,
    BurnedInAnnotation: 'NO',
    // A face is recognised by anybody: taking the name away does not make it anonymous.
    RecognizableVisualFeatures: 'YES',
    AnatomicRegionSequence: [codeItem(FACE)],
    AcquisitionContextSequence: [],
    SamplesPerPixel: 3,
    PhotometricInterpretation: 'YBR_FULL_422',
    PlanarConfiguration: 0,
    Rows: frame.height,
    Columns: frame.width,
    BitsAllocated: 8,
    BitsStored: 8,
    HighBit: 7,
    PixelRepresentation: 0,
    LossyImageCompression: '01',
    LossyImageCompressionRatio: ((frame.width * frame.height * 3) / jpeg.length).toFixed(2),
    LossyImageCompressionMethod: 'ISO_10918_1',
  };
  const profile = frame.profile ? { ICCProfile: bufferOf(frame.profile), ColorSpace: 'SRGB' } : {};
  return {
    ...described,
    SOPInstanceUID: derivedUid('photograph', canonicalJson(described), sha256Hex(jpeg)),
    ...profile,
    PixelData: [bufferOf(jpeg)],
  };
}
