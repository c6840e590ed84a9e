/**
 * The coefficients of a fourth-order recursion whose answer to an impulse is a Gaussian.
 *
 * Model   for n >= 0, g(n) = sum over k of a_k exp(-l_k n / sigma): two pairs of damped waves. Each wave is one pole;
 *         putting them over one denominator gives the recursion; the other side is its mirror without n = 0.
 * Source  Deriche, INRIA report 1893, 1993; the wave constants as in Getreuer, doi:10.5201/ipol.2013.87.
 */
type Four = readonly [number, number, number, number];

/** y[n] = ahead . x[n..n-3] - feedback . y[n-1..n-4], and mirrored: y[n] = back . x[n+1..n+4] - feedback . y[n+1..n+4]. */
export type Recursion = Readonly<{ ahead: Four; back: Four; feedback: Four }>;

/** exp(-damping t) * (cosine * cos(wave t) + sine * sin(wave t)), t = n / sigma; the two together are a Gaussian of height 1. */
const WAVES = [
  { cosine: 1.68, sine: 3.735, wave: 0.6318, damping: 1.783 },
  { cosine: -0.6803, sine: -0.2598, wave: 1.997, damping: 1.723 },
] as const;

/** For a standard deviation of `sigma` px (above 0); scaled so that a constant stays exactly the same. */
export function gaussianRecursion(sigma: number): Recursion {
  if (!(sigma > 0)) throw new RangeError(`sigma must be above 0, got ${sigma}`);
  // Each damped wave is (p0 + p1 z) / (1 + q1 z + q2 z^2), z being a delay of one pixel.
  const first = section(WAVES[0], sigma);
  const second = section(WAVES[1], sigma);
  const one = times(first.p, second.q);
  const two = times(second.p, first.q);
  const [n0, n1, n2, n3] = one.map((value, k) => value + two[k]) as unknown as Four;
  const [, d1, d2, d3, d4] = times(first.q, second.q) as unknown as readonly [number, ...Four];
  const back: Four = [n1 - d1 * n0, n2 - d2 * n0, n3 - d3 * n0, -d4 * n0];
  const gain = (n0 + n1 + n2 + n3 + back[0] + back[1] + back[2] + back[3]) / (1 + d1 + d2 + d3 + d4);
  const scaled = (four: Four): Four => [four[0] / gain, four[1] / gain, four[2] / gain, four[3] / gain];
  return { ahead: scaled([n0, n1, n2, n3]), back: scaled(back), feedback: [d1, d2, d3, d4] };
}

function section({ cosine, sine, wave, damping }: (typeof WAVES)[number], sigma: number): Section {
  const decay = Math.exp(-damping / sigma);
  const c = Math.cos(wave / sigma),
    s = Math.sin(wave / sigma);
  return { p: [cosine, decay * (sine * s - cosine * c)], q: [1, -2 * decay * c, decay * decay] };
}

type Section = Readonly<{ p: readonly number[]; q: readonly number[] }>;

/** The product of two polynomials, lowest power first. */
function times(a: readonly number[], b: readonly number[]): number[] {
  const out = new Array<number>(a.length + b.length - 1).fill(0);
  a.forEach((u, i) =>
    b.forEach((v, j) => {
      out[i + j] = out[i + j] + u * v;
    }),
  );
  return out;
}
