/** The key that codes of a de-identified export are made with. It is made once, stays behind, and is the owner's alone. */
import { createHmac, randomBytes } from 'node:crypto';
import { readFile, writeFile } from 'node:fs/promises';
import type { Keyed } from '#lib/series/deidentify.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';

const BYTES = 32;

/** Reads the key, or makes it where there is none. */
export async function deidentifyKey(path: string): Promise<Outcome<Keyed, 'not-a-key' | 'not-written'>> {
  const known = await readFile(path, 'utf8').catch(() => null);
  if (known !== null && !/^[0-9a-f]{64}\s*$/.test(known))
    return refused(
      'not-a-key',
      `${path} is no key of a de-identified export. Name another file with --key; one that is not there is made.`,
    );
  const key = known?.trim() ?? randomBytes(BYTES).toString('hex');
  if (known === null) {
    const failed = await writeFile(path, `${key}\n`, { mode: 0o600, flag: 'wx' }).catch((error: NodeJS.ErrnoException) => error);
    if (failed) return refused('not-written', `The key could not be written to ${path} (${failed.code}). Name another file with --key.`);
  }
  const secret = Buffer.from(key, 'hex');
  // The kind of a word is part of it, so that a subject and a rater of one name have unrelated codes.
  return found((kind, words) => createHmac('sha256', secret).update(`${kind}\0${words}`).digest('hex'));
}
