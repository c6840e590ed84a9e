/**
 * A permutation test of changes against no change: were the signs a matter of chance, how often would the sum be as far from 0?
 *
 * Model   under no change each subject's change is as likely with the other sign. All patterns are counted up to `MOST_COUNTED` subjects;
 *         past that a seeded sample of patterns, and the one seen counts as one of them, so that p is never 0 and never too small; past
 *         `MOST_SAMPLED` the normal limit of the patterns' sums, whose variance is the sum of squares, is as good as any sample.
 * Source  Fisher, The Design of Experiments, Oliver & Boyd 1935, section 21; Phipson & Smyth, Statistical Applications in Genetics and
 *         Molecular Biology 9(1):39, 2010, doi:10.2202/1544-6115.1585.
 */
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { normalTwoSided } from './normal.ts';
import type { Random } from './random.ts';
import { sum } from './sum.ts';

export type SignFlip = Readonly<{ n: number; p: number; method: 'every pattern' | 'sampled patterns' | 'normal limit'; patterns: number }>;

const MOST_COUNTED = 15;
const SAMPLED = 9999;
const MOST_SAMPLED = 1000;

/** `changes`: one value a subject. `random` is drawn from only when patterns are sampled. */
export function signFlipTest(changes: ArrayLike<number>, random: Random): Outcome<SignFlip, 'too-few'> {
  const n = changes.length;
  if (n < 2) return refused('too-few', `A test by changing signs needs at least 2 subjects, got ${n}.`);
  const seen = Math.abs(sum(changes));
  // Sums of the same numbers in another order differ in their last digits.
  const bound = seen - 1e-9 * sum(Array.from(changes, Math.abs));
  if (n <= MOST_COUNTED) {
    const patterns = 2 ** (n - 1); // the other half are their mirror images
    let far = 0;
    for (let pattern = 0; pattern < patterns; pattern++) {
      let total = changes[n - 1];
      for (let i = 0; i < n - 1; i++) total += (pattern >> i) & 1 ? changes[i] : -changes[i];
      if (Math.abs(total) >= bound) far++;
    }
    return found({ n, p: far / patterns, method: 'every pattern', patterns: 2 * patterns });
  }
  if (n > MOST_SAMPLED) {
    const spread = Math.sqrt(sum(Array.from(changes, (change) => change * change)));
    return found({ n, p: spread > 0 ? normalTwoSided(seen / spread) : 1, method: 'normal limit', patterns: 0 });
  }
  let far = 0;
  for (let draw = 0; draw < SAMPLED; draw++) {
    let total = 0;
    let bits = 0;
    for (let i = 0; i < n; i++) {
      if (i % 32 === 0) bits = random.uint32();
      total += (bits >>> (i % 32)) & 1 ? changes[i] : -changes[i];
    }
    if (Math.abs(total) >= bound) far++;
  }
  return found({ n, p: (far + 1) / (SAMPLED + 1), method: 'sampled patterns', patterns: SAMPLED });
}
