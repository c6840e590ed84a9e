/**
 * Where the photographs of a series are read from: a folder, or a store that speaks S3. Names come from a manifest or a queue, so
 * they are looked at again here: none leads out.
 */
import type { Outcome } from '#shared/outcome.ts';

export type PhotographFault = 'no-file' | 'not-allowed' | 'unreadable' | 'outside' | 'too-large';

export type Photographs = Readonly<{
  read: (file: string) => Promise<Outcome<Uint8Array, PhotographFault>>;
  /** Changes when the file does, as far as a look without reading can tell; null where there is no such look. */
  stamp: (file: string) => Promise<string | null>;
}>;

/** A raw photograph of the largest cameras is below 200 MB. */
export const MOST_BYTES = 600_000_000;

export const outside = (file: string): string =>
  `"${file}" leads out of the folder of the series, so it is not read. Name it from that folder.`;
