/**
 * What a DICOM file is called to its user: transfer syntaxes and kinds of object that are not read here.
 *
 * Source  DICOM PS3.6 annex A (registry of unique identifiers), PS3.3 section C.7.3.1.1.1 (modalities).
 */

/** JPEG coded so that the codec decodes it: Baseline, and Extended as far as it has 8 bits. */
export const JPEG_SYNTAXES: ReadonlySet<string> = new Set(['1.2.840.10008.1.2.4.50', '1.2.840.10008.1.2.4.51']);
/** Pixels as they are, little-endian. */
export const PLAIN_SYNTAXES: ReadonlySet<string> = new Set(['1.2.840.10008.1.2', '1.2.840.10008.1.2.1']);

const SYNTAX_NAMES: Readonly<Record<string, string>> = {
  '1.2.840.10008.1.2.1.99': 'deflated',
  '1.2.840.10008.1.2.2': 'big-endian',
  '1.2.840.10008.1.2.4.57': 'JPEG Lossless',
  '1.2.840.10008.1.2.4.70': 'JPEG Lossless',
  '1.2.840.10008.1.2.4.80': 'JPEG-LS Lossless',
  '1.2.840.10008.1.2.4.81': 'JPEG-LS',
  '1.2.840.10008.1.2.4.90': 'JPEG 2000 Lossless',
  '1.2.840.10008.1.2.4.91': 'JPEG 2000',
  '1.2.840.10008.1.2.4.100': 'MPEG-2 film',
  '1.2.840.10008.1.2.4.102': 'MPEG-4 film',
  '1.2.840.10008.1.2.4.103': 'MPEG-4 film',
  '1.2.840.10008.1.2.4.110': 'JPEG XL Lossless',
  '1.2.840.10008.1.2.4.111': 'JPEG XL',
  '1.2.840.10008.1.2.4.112': 'JPEG XL',
  '1.2.840.10008.1.2.4.201': 'HTJ2K Lossless',
  '1.2.840.10008.1.2.4.202': 'HTJ2K Lossless',
  '1.2.840.10008.1.2.4.203': 'HTJ2K',
  '1.2.840.10008.1.2.5': 'RLE Lossless',
};

/** "JPEG 2000 (transfer syntax 1.2.840.10008.1.2.4.91)"; one that is unknown here has its number alone. */
export function syntaxWords(uid: string): string {
  const known = SYNTAX_NAMES[uid];
  return known ? `${known} (transfer syntax ${uid})` : `transfer syntax ${uid}`;
}

/** Kinds of object that a photograph comes in: VL Photographic Image, and Secondary Capture in its forms. */
const PHOTOGRAPH_CLASSES: ReadonlySet<string> = new Set([
  '1.2.840.10008.5.1.4.1.1.77.1.4',
  '1.2.840.10008.5.1.4.1.1.7',
  '1.2.840.10008.5.1.4.1.1.7.2',
  '1.2.840.10008.5.1.4.1.1.7.4',
]);

/** An object that does not say what it is may be a photograph. */
export const isPhotographClass = (sopClass: string): boolean => sopClass === '' || PHOTOGRAPH_CLASSES.has(sopClass);

const MODALITY_WORDS: Readonly<Record<string, string>> = {
  CR: 'a radiograph',
  CT: 'an image of computed tomography',
  DX: 'a radiograph',
  ES: 'an endoscopic image',
  IO: 'a dental radiograph',
  MG: 'a mammogram',
  MR: 'an image of magnetic resonance',
  NM: 'an image of nuclear medicine',
  OP: 'an ophthalmic photograph',
  PT: 'an image of positron emission tomography',
  PX: 'a panoramic radiograph',
  RF: 'a fluoroscopic image',
  SM: 'a microscopic image',
  SR: 'a report',
  US: 'an ultrasound image',
  XA: 'an angiogram',
};

/** "an ultrasound image", or "an image of modality ZZ". */
export const modalityWords = (modality: string): string =>
  MODALITY_WORDS[modality] ?? (modality === '' ? 'another kind of object' : `an object of modality ${modality}`);
