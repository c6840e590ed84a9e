/** A folder that `compare` wrote, read again: the comparison, and its photographs as they were taken. */
import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { PhotoSource } from '#lib/compare/types.ts';
import type { ExchangePhotograph } from '#lib/report/exchange/facts.ts';
import { type Comparison, comparisonSchema } from '#shared/comparison.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { exchangeJpeg } from '#workers/exchange-photographs.ts';

export type FolderFault = 'no-comparison' | 'unreadable';

/** `dir` is a folder; its `comparison.json` is checked against the schema. */
export async function readComparison(dir: string): Promise<Outcome<Comparison, FolderFault>> {
  const text = await readFile(join(dir, 'comparison.json'), 'utf8').catch(() => null);
  if (text === null)
    return refused('no-comparison', `${dir} holds no comparison.json. Name a folder that ebbline compare wrote with --out.`);
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return refused('unreadable', `${join(dir, 'comparison.json')} is damaged: it is no JSON. Compare the photographs again.`);
  }
  const comparison = comparisonSchema.safeParse(json);
  if (comparison.success) return found(comparison.data);
  const at = comparison.error.issues[0]?.path.join('.') || 'its root';
  return refused(
    'unreadable',
    `${join(dir, 'comparison.json')} is no comparison that this version reads (at ${at}). Compare the photographs again.`,
  );
}

/**
 * One picture for each input: made from an original at its full size where one is given, else the smaller picture in the folder,
 * else none. Originals are matched by SHA-256. Refuses an original that belongs to none of the comparisons.
 */
export async function readPhotographs(
  dir: string,
  comparison: Comparison,
  originals: readonly PhotoSource[],
): Promise<Outcome<readonly ExchangePhotograph[], FolderFault>> {
  const bySha256 = new Map(originals.map((source) => [createHash('sha256').update(source.bytes).digest('hex'), source]));
  const photographs: ExchangePhotograph[] = [];
  for (const { role, view, sha256 } of comparison.inputs) {
    const original = bySha256.get(sha256);
    if (original) {
      const jpeg = await exchangeJpeg(original);
      if (!jpeg.ok) return refused('unreadable', jpeg.detail);
      photographs.push({ role, view, ...jpeg.value });
      continue;
    }
    const kept = await readFile(join(dir, `${view}.${role}-as-taken.jpg`)).catch(() => null);
    if (kept) photographs.push({ role, view, jpeg: new Uint8Array(kept) });
  }
  return found(photographs);
}

/** The first of `originals` that is no input of any comparison, or null. */
export function strayOriginal(comparisons: readonly Comparison[], originals: readonly PhotoSource[]): PhotoSource | null {
  const known = new Set(comparisons.flatMap(({ inputs }) => inputs.map(({ sha256 }) => sha256)));
  return originals.find(({ bytes }) => !known.has(createHash('sha256').update(bytes).digest('hex'))) ?? null;
}
