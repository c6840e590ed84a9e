/** Which pairs the page of a series shows, as its address says. Pure. */
import { z } from 'zod';
import type { PairFilter } from '#lib/record/series-types.ts';
import { FINDINGS, zoneIdSchema } from '#shared/comparison.ts';

export const PAIRS_A_PAGE = 50;
const PAIR_STATES = ['measured', 'not-comparable', 'failed', 'running', 'waiting'] as const;

/** What does not fit is as if it were not there. */
const querySchema = z.object({
  subject: z.string().trim().max(80).catch(''),
  state: z.enum(PAIR_STATES).or(z.literal('')).catch(''),
  zone: zoneIdSchema.or(z.literal('')).catch(''),
  finding: z.enum(FINDINGS).or(z.literal('')).catch(''),
  /** From 1. */
  page: z.coerce.number().int().min(1).max(1_000_000).catch(1),
});
export type PairQuery = z.infer<typeof querySchema>;

export const pairQuery = (params: Readonly<Record<string, unknown>>): PairQuery => querySchema.parse(params);

export const filterOf = ({ subject, state, zone, finding }: PairQuery): PairFilter => ({
  ...(subject ? { subject } : {}),
  ...(state ? { state } : {}),
  ...(zone ? { zone } : {}),
  ...(finding ? { finding } : {}),
});

/** The address of another page, or of another filter. */
export function pairAddress(series: string, query: Partial<PairQuery>): string {
  const words = Object.entries(query).filter(([name, value]) => value !== '' && !(name === 'page' && value === 1));
  const search = new URLSearchParams(words.map(([name, value]): [string, string] => [name, String(value)]));
  return `/series/${series}${search.size > 0 ? `?${search}` : ''}#pairs`;
}
