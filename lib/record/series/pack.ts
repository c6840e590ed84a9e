/** How pairs and comparisons are kept: canonical JSON, comparisons compressed, and the hashes that tell them apart. */
import { createHash } from 'node:crypto';
import { deflateRawSync, inflateRawSync } from 'node:zlib';
import { canonicalJson } from '#shared/canonical-json.ts';
import { type Comparison, comparisonSchema } from '#shared/comparison.ts';
import type { SeriesPair } from '#shared/series.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import type { SeriesAsk } from './types.ts';

export const sha256Of = (data: string | Uint8Array): string => createHash('sha256').update(data).digest('hex');

/** What is asked of a pair. Another version of the program is another question. */
export const specOf = (pair: SeriesPair, ask: SeriesAsk): string => sha256Of(canonicalJson({ pair, ask, version: EBBLINE_VERSION }));

/** Some 8 times smaller than the text. */
export const packComparison = (comparison: Comparison): Uint8Array => deflateRawSync(canonicalJson(comparison));

/** Throws when the bytes are not what `packComparison` once gave. */
export const unpackComparison = (bytes: Uint8Array): Comparison =>
  comparisonSchema.parse(JSON.parse(inflateRawSync(bytes).toString('utf8')));
