/**
 * What makes a printed report one of a series of versions: draft or signed, which it replaces, and the hash of what it was made from.
 *
 * The hash is the SHA-256 of the canonical JSON of all the data of the report, photographs by their own hashes, so that anyone who
 * holds the record can tell whether a report and the record still say the same.
 */
import { createHash } from 'node:crypto';
import type { Block, PrintedReport } from '#lib/report/pdf/blocks.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { CaseReport } from '#shared/case.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';

export type Stamp = Readonly<{
  /** Of a case's report; null where there is no case and so no versions. */
  version: number | null;
  /** Null for a draft. */
  signed: Readonly<{ by: string; at: string }> | null;
  /** The signed report that this version takes the place of. */
  replaces: Pick<CaseReport, 'version' | 'sha256' | 'signed'> | null;
  contentSha256: string;
  /** When the newest of the data was written, ISO 8601 in UTC; the file of a draft says it was made then. Null where no record knows. */
  asOf: string | null;
  /** Of the practice; may be empty. */
  practiceName: string;
}>;

/** Bytes stand in the data as `{ sha256 }`. Same data, same hash. */
export function contentSha256(data: unknown): string {
  return createHash('sha256')
    .update(canonicalJson(hashed(data)))
    .digest('hex');
}

/** The data with each stretch of bytes as its hash. */
function hashed(value: unknown): unknown {
  if (value instanceof Uint8Array) return { sha256: createHash('sha256').update(value).digest('hex') };
  if (Array.isArray(value)) return value.map(hashed);
  if (typeof value === 'object' && value !== null) return Object.fromEntries(Object.entries(value).map(([key, one]) => [key, hashed(one)]));
  return value;
}

/** "2026-11-25 16:12 UTC". */
export const momentText = (at: string): string => `${at.slice(0, 10)} ${at.slice(11, 16)} UTC`;

/** A PDF has to say when it was made; where that would be chance, it says the beginning of the computers' era. */
const NO_TIME = '1970-01-01T00:00:00.000Z';

export const DRAFT_WORDS = 'Draft, not signed';

/** What the pages of a report carry; `kind` such as "Comparison report". */
export function framed(stamp: Stamp, kind: string, subject: string): Omit<PrintedReport, 'blocks' | 'textScale'> {
  const version = stamp.version === null ? '' : `, version ${stamp.version}`;
  return {
    title: `${kind}: ${subject}${version}${stamp.signed ? '' : ' (draft)'}`,
    running: [kind, subject + version, stamp.practiceName].filter(Boolean).join(' \u00b7 '),
    footing: `Ebbline \u00b7 content ${stamp.contentSha256.slice(0, 16)} \u00b7 ${stamp.signed ? `signed ${momentText(stamp.signed.at)} by ${stamp.signed.by}` : DRAFT_WORDS.toLowerCase()}`,
    draft: stamp.signed ? null : DRAFT_WORDS,
    madeAt: stamp.signed?.at ?? stamp.asOf ?? NO_TIME,
  };
}

/** The last section of every report: who answers for it, and what it rests on. */
export function signatureBlocks(stamp: Stamp): Block[] {
  const { signed, replaces, version } = stamp;
  return [
    { kind: 'heading', level: 2, text: signed ? 'Signed' : 'Not signed' },
    {
      kind: 'paragraph',
      words: signed
        ? [
            { text: signed.by, bold: true },
            `, on ${momentText(signed.at)}. This version is locked: a later change makes the next version, which names this one.`,
          ]
        : 'This is a draft. Nobody has signed for it, and it may still change.',
    },
    ...(replaces
      ? [
          {
            kind: 'paragraph',
            words: [
              `Version ${version} takes the place of version ${replaces.version}${replaces.signed ? `, signed by ${replaces.signed.by} on ${momentText(replaces.signed.at)}` : ''}, whose file has the SHA-256 `,
              { text: replaces.sha256, mono: true },
              '.',
            ],
          } as const,
        ]
      : []),
    {
      kind: 'paragraph',
      look: 'small',
      words: [
        'SHA-256 of the data this report was made from, photographs by their hashes: ',
        { text: stamp.contentSha256, mono: true },
        `.${stamp.asOf === null ? '' : ` Newest of the data: ${momentText(stamp.asOf)}.`} Written by Ebbline ${EBBLINE_VERSION}.`,
      ],
    },
  ];
}
