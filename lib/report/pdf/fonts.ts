/**
 * The typefaces of printed reports, read from their package: DejaVu Sans Condensed and its kin. They are set into every
 * file, and cover Latin, Greek and Cyrillic and the signs of findings. A door: it reads files, once for each process.
 */
import { readFileSync } from 'node:fs';
import { findPackageJSON } from 'node:module';
import { dirname, join } from 'node:path';

export const FACES = ['regular', 'bold', 'italic', 'bold-italic', 'mono'] as const;
export type Face = (typeof FACES)[number];

const FILES: Readonly<Record<Face, string>> = {
  regular: 'DejaVuSansCondensed.ttf',
  bold: 'DejaVuSansCondensed-Bold.ttf',
  italic: 'DejaVuSansCondensed-Oblique.ttf',
  'bold-italic': 'DejaVuSansCondensed-BoldOblique.ttf',
  mono: 'DejaVuSansMono.ttf',
};

const read = new Map<Face, Buffer>();

/** The bytes of one TrueType file. Throws when the package is not installed. */
export function fontBytes(face: Face): Buffer {
  const known = read.get(face);
  if (known) return known;
  // Found at run time: a bundler that saw the address of a file would try to take the typeface in as code.
  const home = findPackageJSON('dejavu-fonts-ttf', import.meta.url);
  if (!home) throw new Error('The package dejavu-fonts-ttf is not installed; npm ci installs it.');
  const bytes = readFileSync(join(dirname(home), 'ttf', FILES[face]));
  read.set(face, bytes);
  return bytes;
}
