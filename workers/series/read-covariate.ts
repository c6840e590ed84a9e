/** A covariate of the researcher's own: CSV of two columns, `subject` and one more that names it, one whole or broken number a subject. */
import { readFile } from 'node:fs/promises';
import { parse } from 'csv-parse/sync';
import type { Covariate } from '#lib/series/study-groups.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';

export async function readCovariate(path: string): Promise<Outcome<Covariate, 'covariate'>> {
  let records: string[][];
  try {
    records = parse(await readFile(path, 'utf8'), { bom: true, skipEmptyLines: true, trim: true });
  } catch (error) {
    return refused('covariate', `The covariate ${path} cannot be read as CSV: ${(error as Error).message}.`);
  }
  const [head = [], ...rows] = records;
  if (head.length !== 2 || head[0] !== 'subject' || head[1] === '')
    return refused('covariate', `The covariate ${path} needs two columns, "subject" and one that names the covariate.`);
  const of = new Map<string, number>();
  for (const [i, [subject, cell]] of rows.entries()) {
    if (cell === '') continue; // not known of this subject
    const value = Number(cell);
    if (!Number.isFinite(value)) return refused('covariate', `The covariate ${path}, row ${i + 1}: "${cell}" is no number.`);
    if (of.has(subject)) return refused('covariate', `The covariate ${path}, row ${i + 1}: subject "${subject}" stands there twice.`);
    of.set(subject, value);
  }
  return found({ name: head[1], of });
}
