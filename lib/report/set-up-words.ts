/** A set-up in a line, for lists and options. */
import type { SetUpProfile } from '#shared/set-up-profile.ts';

/** "Room 2, 12 pairs of 6 people". */
export const setUpWords = ({ name, pairs, people }: Pick<SetUpProfile, 'name' | 'pairs' | 'people'>): string =>
  `${name}, ${count(pairs, 'pair')} of ${count(people, 'person', 'people')}`;

export const count = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;
