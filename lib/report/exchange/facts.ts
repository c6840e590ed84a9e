/**
 * What an exchange needs beside the Comparison: whose it is, when the photographs were taken, and the photographs themselves.
 */
import { createHash } from 'node:crypto';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { Comparison, View } from '#shared/comparison.ts';

export type ExchangeFacts = Readonly<{
  /** The subject's pseudonymous code, at most 64 characters; without one it is made from the photographs of the first visit. */
  subject?: string | undefined;
  /** Only when the receiving system must have it. DICOM's form: family^given. */
  patientName?: string | undefined;
  /** `YYYY-MM-DD`; wins over what the cameras wrote. */
  beforeOn?: string | undefined;
  afterOn?: string | undefined;
  /** The day of the report; as usual that of the after photographs. */
  reportedOn?: string | undefined;
}>;

/** A photograph as it is handed on: upright, sRGB, JPEG Baseline. One for each input at most. */
export type ExchangePhotograph = Readonly<{
  role: 'before' | 'after';
  view: View;
  jpeg: Uint8Array;
  /** The pixels are the original file's own, at its size, not decoded and coded anew. */
  original?: boolean;
}>;

export type Role = 'before' | 'after';
type Input = Comparison['inputs'][number];

/** Day `YYYY-MM-DD` and, where known, time `hh:mm:ss`. */
export type Moment = Readonly<{ day: string; time: string | null }>;

/** When an input was taken, or null. A given day has no time. */
export function momentOf({ role, facts }: Input, given: ExchangeFacts): Moment | null {
  const day = role === 'before' ? given.beforeOn : given.afterOn;
  if (day !== undefined) return { day, time: null };
  return facts.takenAt === null ? null : { day: facts.takenAt.slice(0, 10), time: facts.takenAt.slice(11) };
}

/** The earliest moment of a visit, or null when no photograph of it says. */
export function visitMoment(comparison: Comparison, role: Role, given: ExchangeFacts): Moment | null {
  const moments = comparison.inputs.filter((input) => input.role === role).flatMap((input) => momentOf(input, given) ?? []);
  return moments.sort((a, b) => (momentText(a) < momentText(b) ? -1 : 1))[0] ?? null;
}

const momentText = ({ day, time }: Moment): string => `${day}T${time ?? ''}`;

/** The day that the report speaks of, or null. */
export const reportDay = (comparison: Comparison, given: ExchangeFacts): string | null =>
  given.reportedOn ?? visitMoment(comparison, 'after', given)?.day ?? visitMoment(comparison, 'before', given)?.day ?? null;

/** The given code, or "P-" and ten digits that follow from the photographs of the first visit. */
export function subjectOf(comparison: Comparison, given: ExchangeFacts): string {
  if (given.subject !== undefined) return given.subject;
  const hashes = comparison.inputs.filter(({ role }) => role === 'before').map(({ sha256 }) => sha256);
  return `P-${createHash('sha256')
    .update([...hashes].sort().join(' '))
    .digest('hex')
    .slice(0, 10)}`;
}

/** What a Comparison is known by: the SHA-256 of its canonical JSON. */
export const comparisonSha256 = (comparison: Comparison): string => createHash('sha256').update(canonicalJson(comparison)).digest('hex');

/** Before, then after; views in the order of the Comparison. */
export const orderedInputs = (comparison: Comparison): readonly Input[] =>
  (['before', 'after'] as const).flatMap((role) => comparison.inputs.filter((input) => input.role === role));
