/**
 * Measurement error from differences between repeats, when only differences can be read.
 *
 * Model   d = e_second - e_first, so that a person with r repeats has a within-person sum of squares of sum(d^2) / r over all pairs,
 *         with r - 1 degrees of freedom. Where pairs are missing it is (degrees of freedom) x mean(d^2) / 2, which is the same for all
 *         pairs, and the degrees are the repeats less the groups that pairs tie together. The mean is taken about no difference,
 *         because nothing changed: a steady bias between first and later photographs is error as well.
 * Source  within-subject standard deviation: Bland & Altman, BMJ 313:744, 1996, doi:10.1136/bmj.313.7059.744; degrees of freedom of a
 *         sum over correlated zones: Satterthwaite, Biometrics Bulletin 2(6):110-114, 1946, doi:10.2307/3002019; a variance moderated
 *         by those of its neighbours: Smyth, Statistical Applications in Genetics and Molecular Biology 3(1):3, 2004,
 *         doi:10.2202/1544-6115.1027.
 */
import { repeatabilityFrom } from '#lib/stats/repeatability.ts';
import { sum } from '#lib/stats/sum.ts';
import type { RepeatError } from '#shared/set-up-profile.ts';

/** One pair of one person, by the numbers of its repeats. `own` is the scatter that the pair itself states for no change. */
export type RepeatDifference = Readonly<{ person: number; first: number; second: number; difference: number; own: number }>;

type Squares = Readonly<{ variance: number; freedom: number }>;

/**
 * What all zones together say counts in each zone as so many degrees of freedom. Zones differ: giving each the mean of all made up to
 * 16 % false alarms per comparison of rendered unchanged faces (31 people, 6 to 15 pairs of repeats); this share made 1.8 % or less
 * among them and 0.4 % or less among 29 people that it was not chosen with, with 2 to 20 pairs.
 */
export const SHARED_FREEDOM = 4;

/** Null when there is nothing. Throws RangeError when a repeat is paired with itself. */
export function repeatError(differences: readonly RepeatDifference[]): RepeatError | null {
  const squares = withinPeople(differences);
  return squares && errorOf(differences, squares.variance, squares.freedom);
}

/**
 * All zones together: the mean variance, with as many degrees of freedom as the zones are worth. `zones` holds the differences of
 * each; zones of one pair belong together by person and repeats. Zones that err alike count for little more than one.
 */
export function pooledRepeatError(zones: readonly (readonly RepeatDifference[])[]): RepeatError | null {
  const all = zones.flatMap((zone) => withinPeople(zone) ?? []);
  if (all.length === 0) return null;
  const freedom = sum(all.map((zone) => zone.freedom));
  const variance = sum(all.map((zone) => zone.variance * zone.freedom)) / freedom;
  return errorOf(zones.flat(), variance, Math.max(1, worth(zones)));
}

/**
 * One zone, with what it adds to findings moderated by `together`: few repeats of a zone by themselves would say little, and all zones
 * by themselves would hide a restless one. Null when there is nothing.
 */
export function zoneRepeatError(
  differences: readonly RepeatDifference[],
  together: RepeatError,
): (RepeatError & Readonly<{ fromAllZones: number }>) | null {
  const own = repeatError(differences);
  if (!own) return null;
  const shared = Math.min(SHARED_FREEDOM, together.freedom);
  const freedom = own.freedom + shared;
  const { semCi95 } = repeatabilityFrom((own.freedom * own.sem ** 2 + shared * together.sem ** 2) / freedom, freedom);
  return { ...own, setUpSd: beyondOwn(semCi95[1], meanOwn(differences)), fromAllZones: shared / freedom };
}

function withinPeople(differences: readonly RepeatDifference[]): Squares | null {
  if (differences.length === 0) return null;
  const parts = [...byPerson(differences).values()].map((own) => {
    const freedom = degreesOf(own);
    return { freedom, squares: (freedom * sum(own.map(({ difference }) => difference ** 2))) / (2 * own.length) };
  });
  const freedom = sum(parts.map((part) => part.freedom));
  return { variance: sum(parts.map((part) => part.squares)) / freedom, freedom };
}

function errorOf(differences: readonly RepeatDifference[], variance: number, freedom: number): RepeatError {
  const { sem, semCi95, sdc } = repeatabilityFrom(variance, freedom);
  const own = meanOwn(differences);
  return {
    people: byPerson(differences).size,
    pairs: new Set(differences.map(keyOf)).size,
    freedom,
    sem,
    semCi95: [...semCi95],
    sdc,
    setUpSd: beyondOwn(semCi95[1], own),
  };
}

/** The scatter of a difference beyond what its pair states of itself. */
const beyondOwn = (sem: number, own: number): number => Math.sqrt(Math.max(0, 2 * sem ** 2 - own));

const meanOwn = (differences: readonly RepeatDifference[]): number => sum(differences.map((one) => one.own ** 2)) / differences.length;

/** Satterthwaite's degrees of freedom of the mean square over zones: (sum of squares)^2 over the squared products of every two pairs. */
function worth(zones: readonly (readonly RepeatDifference[])[]): number {
  const vectors = new Map<string, Map<number, number>>();
  zones.forEach((zone, k) => {
    for (const one of zone) {
      const key = keyOf(one);
      vectors.set(key, (vectors.get(key) ?? new Map()).set(k, one.difference));
    }
  });
  const rows = [...vectors.values()];
  const dot = (a: ReadonlyMap<number, number>, b: ReadonlyMap<number, number>): number =>
    sum([...a].map(([k, value]) => value * (b.get(k) ?? 0)));
  const total = sum(rows.map((row) => dot(row, row)));
  const products = sum(rows.flatMap((a) => rows.map((b) => dot(a, b) ** 2)));
  const independent = sum([...byPerson(zones.flat()).values()].map(degreesOf));
  return products > 0 ? (independent * total ** 2) / products : independent;
}

/** Repeats less the groups that pairs tie together. */
function degreesOf(pairs: readonly RepeatDifference[]): number {
  const group = new Map<number, number>();
  const rootOf = (repeat: number): number => {
    let at = repeat;
    while (group.get(at) !== undefined && group.get(at) !== at) at = group.get(at)!;
    group.set(at, at);
    return at;
  };
  let tied = 0;
  for (const { first, second } of pairs) {
    if (first === second) throw new RangeError(`repeat ${first} is paired with itself`);
    const [a, b] = [rootOf(first), rootOf(second)];
    if (a === b) continue;
    group.set(b, a);
    tied++;
  }
  return tied;
}

const keyOf = ({ person, first, second }: RepeatDifference): string => `${person} ${first} ${second}`;

function byPerson(differences: readonly RepeatDifference[]): Map<number, RepeatDifference[]> {
  const people = new Map<number, RepeatDifference[]>();
  for (const one of differences) people.set(one.person, [...(people.get(one.person) ?? []), one]);
  return people;
}
