/**
 * A data set, by the standard's own keywords, becomes the bytes of a DICOM file.
 * Source  DICOM PS3.10 section 7.1.
 */
import dcmjs from 'dcmjs';
import { derivedUid } from '#lib/report/exchange/derived-id.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';

/** Values by keyword: texts, numbers, sequences as arrays of data sets, bytes as an array of one ArrayBuffer for each frame. */
export type DataSet = Readonly<Record<string, unknown>>;

export const JPEG_BASELINE = '1.2.840.10008.1.2.4.50';
export const EXPLICIT_LITTLE = '1.2.840.10008.1.2.1';

/** Same data set, same bytes. `SOPClassUID` and `SOPInstanceUID` must be in it. Throws for a value too long for its type. */
export function writeDicom(dataSet: DataSet, transferSyntax: string): Uint8Array {
  const { DicomDict, DicomMetaDictionary } = dcmjs.data;
  const meta = DicomMetaDictionary.denaturalizeDataset({
    FileMetaInformationVersion: new Uint8Array([0, 1]).buffer,
    MediaStorageSOPClassUID: dataSet.SOPClassUID,
    MediaStorageSOPInstanceUID: dataSet.SOPInstanceUID,
    TransferSyntaxUID: transferSyntax,
    ImplementationClassUID: derivedUid('implementation'),
    ImplementationVersionName: `EBBLINE_${EBBLINE_VERSION}`.slice(0, 16),
    _vrMap: {},
  });
  const file = new DicomDict(meta);
  file.dict = DicomMetaDictionary.denaturalizeDataset({ ...dataSet, _vrMap: { PixelData: 'OB' } });
  // One fragment for the one frame: some readers take each fragment for a frame.
  return new Uint8Array(file.write({ fragmentMultiframe: false }));
}

/** The bytes in a buffer of their own, as the writer wants them. */
export const bufferOf = (bytes: Uint8Array): ArrayBuffer => new Uint8Array(bytes).buffer;
