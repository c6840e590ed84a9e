/** A photograph in a DICOM file: its picture is read as the file it was, its facts are completed by what the DICOM file states. */
import { found, type Outcome } from '#shared/outcome.ts';
import { cutShort } from './codec-refusal.ts';
import { photographInDicom } from './dicom.ts';
import { readStoredFile, type StoredPhoto } from './stored-photo.ts';
import type { PhotoFault } from './types.ts';
import { isCutShort } from './whole-file.ts';

export async function readStoredDicom(bytes: Uint8Array, name: string): Promise<Outcome<StoredPhoto, PhotoFault>> {
  const inside = photographInDicom(bytes, name);
  if (!inside.ok) return inside;
  const { format, takenAt, camera, laterality } = inside.value;
  if (isCutShort(inside.value.bytes, format)) return cutShort(name);
  const stored = await readStoredFile(inside.value.bytes, format, name);
  if (!stored.ok) return stored;
  const { facts } = stored.value;
  return found({
    ...stored.value,
    facts: {
      ...facts,
      format: 'dicom',
      takenAt: takenAt ?? facts.takenAt,
      camera: facts.camera ?? camera,
      ...(laterality ? { laterality } : {}),
    },
  });
}
