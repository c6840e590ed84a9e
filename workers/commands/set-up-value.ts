/** `--set-up` in the user's words: a name in the record or a file. Throws UsageError with what there is. */
import { resolve } from 'node:path';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';
import { setUpNamed } from '#workers/set-up-choice.ts';
import { UsageError, type World } from './command.ts';

export async function setUpValue(text: string, data: string | undefined, env: World['env']): Promise<SetUpProfile> {
  const chosen = await setUpNamed(text, data === undefined ? defaultDataDir(env) : resolve(data));
  if (!chosen.ok) throw new UsageError(chosen.detail);
  return chosen.value;
}
