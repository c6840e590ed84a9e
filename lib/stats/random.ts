/**
 * A seeded source of chance: the same seed gives the same numbers on every machine.
 *
 * Model   xoshiro128** over 32-bit words, seeded by splitmix32 so that near seeds give unrelated streams.
 * Source  Blackman & Vigna, ACM Transactions on Mathematical Software 47(4):36, 2021, doi:10.1145/3460772;
 *         normal deviates by the polar method, Marsaglia & Bray, SIAM Review 6(3):260-264, 1964, doi:10.1137/1006063.
 */

export type Random = Readonly<{
  /** 0 .. 2^32 - 1 */
  uint32: () => number;
  /** 0 <= x < 1, 53 bits. */
  uniform: () => number;
  /** Mean 0, standard deviation 1. */
  normal: () => number;
  /** 0 .. below - 1, each as likely; `below` at most 2^32. */
  integer: (below: number) => number;
  /** A stream of its own for a named part, so that adding draws to one part leaves the others as they were. */
  fork: (label: string) => Random;
}>;

/** `seed` is any integer; its low 32 bits count. */
export function randomFrom(seed: number): Random {
  if (!Number.isInteger(seed)) throw new RangeError(`seed must be an integer, got ${seed}`);
  const word = splitmix32(seed >>> 0);
  return randomFromState([word(), word(), word(), word()], seed >>> 0);
}

/** Straight from the four words of state, which must not all be zero. `seed` only names the forks. */
export function randomFromState(state: readonly [number, number, number, number], seed = 0): Random {
  let [a, b, c, d] = state;
  if ((a | b | c | d) === 0) throw new RangeError('a state of four zeros gives zeros for ever');
  let spare = Number.NaN; // the polar method makes two deviates at a time

  const uint32 = (): number => {
    const x = Math.imul(b, 5);
    const result = Math.imul((x << 7) | (x >>> 25), 9) >>> 0;
    const t = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= t;
    d = (d << 11) | (d >>> 21);
    return result;
  };

  const uniform = (): number => ((uint32() >>> 5) * 0x4000000 + (uint32() >>> 6)) / 0x20000000000000;

  const normal = (): number => {
    if (!Number.isNaN(spare)) {
      const kept = spare;
      spare = Number.NaN;
      return kept;
    }
    // 32 bits a side are enough here, and halve the draws.
    let x: number;
    let y: number;
    let square: number;
    do {
      x = (uint32() + 0.5) / 0x80000000 - 1;
      y = (uint32() + 0.5) / 0x80000000 - 1;
      square = x * x + y * y;
    } while (square >= 1);
    const stretch = Math.sqrt((-2 * Math.log(square)) / square);
    spare = y * stretch;
    return x * stretch;
  };

  const integer = (below: number): number => {
    if (!(Number.isInteger(below) && below >= 1 && below <= 0x100000000))
      throw new RangeError(`below must be an integer from 1 to 2^32, got ${below}`);
    // Draws past the last whole multiple of `below` are thrown away, or the first numbers would come more often.
    const end = 0x100000000 - (0x100000000 % below);
    let draw = uint32();
    while (draw >= end) draw = uint32();
    return draw % below;
  };

  const fork = (label: string): Random => randomFrom(hashOf(label, seed));

  return { uint32, uniform, normal, integer, fork };
}

/** A new array in random order (Fisher & Yates; Durstenfeld, CACM 7(7):420, 1964). */
export function shuffled<T>(items: readonly T[], random: Random): T[] {
  const order = [...items];
  for (let i = order.length - 1; i > 0; i--) {
    const j = random.integer(i + 1);
    const kept = order[i];
    order[i] = order[j];
    order[j] = kept;
  }
  return order;
}

/** Weyl sequence of the golden ratio through the finaliser of MurmurHash3. */
function splitmix32(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x9e3779b9) >>> 0;
    return finalise(state);
  };
}

function finalise(word: number): number {
  let z = word;
  z = Math.imul(z ^ (z >>> 16), 0x85ebca6b);
  z = Math.imul(z ^ (z >>> 13), 0xc2b2ae35);
  return (z ^ (z >>> 16)) >>> 0;
}

/** FNV-1a over the label's UTF-16 units, started from the seed. */
function hashOf(label: string, seed: number): number {
  let hash = finalise(seed ^ 0x811c9dc5);
  for (let i = 0; i < label.length; i++) hash = Math.imul(hash ^ label.charCodeAt(i), 0x01000193) >>> 0;
  return finalise(hash);
}
