/** Ranks from 1, equal values sharing the mean of theirs, with the sizes of the groups that tie. */

/** `ties` holds the size of each group of two or more equal values. */
export function midranks(values: ArrayLike<number>): Readonly<{ ranks: number[]; ties: number[] }> {
  const order = Array.from(values, (_, i) => i).sort((i, j) => values[i] - values[j]);
  const ranks = new Array<number>(values.length);
  const ties: number[] = [];
  for (let from = 0; from < order.length; ) {
    let to = from + 1;
    while (to < order.length && values[order[to]] === values[order[from]]) to++;
    for (let k = from; k < to; k++) ranks[order[k]] = (from + 1 + to) / 2;
    if (to - from > 1) ties.push(to - from);
    from = to;
  }
  return { ranks, ties };
}
