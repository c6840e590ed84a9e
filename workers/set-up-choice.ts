/** Which profile `--set-up` means: a file, or a name in the record. */
import { existsSync } from 'node:fs';
import { readFile, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { openSetUps } from '#lib/record/open.ts';
import type { StoredSetUp } from '#lib/record/types.ts';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { type SetUpProfile, setUpProfileSchema } from '#shared/set-up-profile.ts';

type Fault = 'no-set-up' | 'not-a-profile';

export async function setUpNamed(nameOrFile: string, dataDir: string): Promise<Outcome<SetUpProfile, Fault>> {
  const isFile = await stat(nameOrFile).then(
    (facts) => facts.isFile(),
    () => false,
  );
  if (isFile) return profileIn(await readFile(nameOrFile, 'utf8'), nameOrFile);
  const known = await knownSetUps(dataDir);
  const named = known.find(({ profile, sha256 }) => profile.name === nameOrFile || sha256 === nameOrFile);
  if (named) return found(named.profile);
  const names = known.map(({ profile }) => `"${profile.name}"`).join(', ');
  return refused(
    'no-set-up',
    `There is no set-up "${nameOrFile}", nor a file of that name. ${names ? `There is ${names}.` : 'None has been made yet; ebbline repeat makes one.'}`,
  );
}

export function profileIn(text: string, file: string): Outcome<SetUpProfile, Fault> {
  const wrong = refused('not-a-profile', `${file} is no profile of a set-up. ebbline repeat DIR --out FILE writes one.`);
  try {
    const parsed = setUpProfileSchema.safeParse(JSON.parse(text));
    return parsed.success ? found(parsed.data) : wrong;
  } catch {
    return wrong;
  }
}

/** Looking makes no record where there is none. */
async function knownSetUps(dataDir: string): Promise<StoredSetUp[]> {
  if (!existsSync(join(dataDir, 'record.sqlite'))) return [];
  const shelf = openSetUps(dataDir);
  try {
    return await shelf.listSetUps();
  } finally {
    shelf.close();
  }
}
