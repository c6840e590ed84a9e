/**
 * The typefaces of printed reports, read from their package: DejaVu Sans Condensed and its kin. They are set into every
 * file, and cover Latin, Greek and Cyrillic and the signs of findings. A door: it reads files, once for each process.
 */
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';

export const FACES = ['regular', 'bold', 'italic', 'bold-italic', 'mono'] as const;
export type Face = (typeof FACES)[number];

const FILES: Readonly<Record<Face, string>> = {
  regular: 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed.ttf',
  bold: 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Bold.ttf',
  italic: 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-Oblique.ttf',
  'bold-italic': 'dejavu-fonts-ttf/ttf/DejaVuSansCondensed-BoldOblique.ttf',
  mono: 'dejavu-fonts-ttf/ttf/DejaVuSansMono.ttf',
};

const read = new Map<Face, Buffer>();

/** The bytes of one TrueType file. Throws when the package is not installed. */
export function fontBytes(face: Face): Buffer {
  const known = read.get(face);
  if (known) return known;
  const bytes = readFileSync(createRequire(import.meta.url).resolve(FILES[face]));
  read.set(face, bytes);
  return bytes;
}
