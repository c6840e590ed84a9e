/** Where the error limits of a result come from, in words. */
import type { Comparison } from '#shared/comparison.ts';
import { setUpUsed } from '#shared/set-up-profile.ts';
import { setUpWords } from './set-up-words.ts';

/** Without a full stop, to stand after "Standard errors". */
export function errorSourceWords({ errorSource, parameters }: Pick<Comparison, 'errorSource' | 'parameters'>): string {
  if (errorSource === 'validation') return "from the program's own validation, not yet from repeated photographs of your set-up";
  const used = setUpUsed(parameters);
  return `from repeated photographs of your own set-up${used ? `: ${setUpWords(used)}, measured ${used.madeOn}` : ''}`;
}
