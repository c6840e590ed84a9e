/**
 * Arguments of a command, read strictly: an option that takes a list takes all words up to the next option, so that
 * `--before *.jpg` works as a shell expands it. What does not fit throws UsageError with a sentence.
 */
import { parseArgs } from 'node:util';
import { UsageError } from './command.ts';

/** How many words an option takes. `list` takes one or more, and may be given again. */
export type OptionKinds = Readonly<Record<string, 'none' | 'one' | 'list'>>;

export type Given = Readonly<{
  has: (option: string) => boolean;
  one: (option: string) => string | undefined;
  list: (option: string) => readonly string[];
  /** Words that belong to no option. */
  words: readonly string[];
}>;

/** `--help`, `-h` are always known. */
export function readArguments(args: readonly string[], kinds: OptionKinds): Given {
  const options = Object.fromEntries(
    Object.entries(kinds).map(([name, kind]) => [
      name,
      { type: kind === 'none' ? ('boolean' as const) : ('string' as const), multiple: kind === 'list' },
    ]),
  );
  const { tokens } = parseArgs({
    args: [...args],
    options: { ...options, help: { type: 'boolean', short: 'h' } },
    strict: false,
    allowPositionals: true,
    tokens: true,
  });

  const values = new Map<string, string[]>();
  const words: string[] = [];
  let open: string | null = null; // the list that further words belong to
  for (const token of tokens) {
    if (token.kind === 'option') {
      const kind = token.name === 'help' ? 'none' : Object.hasOwn(kinds, token.name) ? kinds[token.name] : undefined;
      if (kind === undefined) throw new UsageError(`There is no option ${token.rawName}.${nearest(token.name, Object.keys(kinds))}`);
      if (kind !== 'none' && (token.value === undefined || token.value === '' || (!token.inlineValue && token.value.startsWith('--'))))
        throw new UsageError(`${token.rawName} needs ${kind === 'one' ? 'a value' : 'at least one value'} after it.`);
      if (kind === 'none' && token.inlineValue) throw new UsageError(`${token.rawName} takes no value.`);
      if (kind === 'one' && values.has(token.name)) throw new UsageError(`${token.rawName} is given twice; once is enough.`);
      values.set(token.name, [...(values.get(token.name) ?? []), ...(token.value === undefined ? [] : [token.value])]);
      open = kind === 'list' ? token.name : null;
    } else if (token.kind === 'positional') {
      if (open) values.get(open)!.push(token.value);
      else words.push(token.value);
    } else open = null;
  }
  return {
    has: (option) => values.has(option),
    one: (option) => values.get(option)?.[0],
    list: (option) => values.get(option) ?? [],
    words,
  };
}

/** Throws for words that belong to nothing. */
export function noWords(given: Given): void {
  if (given.words.length > 0) throw new UsageError(`"${given.words[0]}" belongs to no option.`);
}

/** " Did you mean --before?" when one option is close enough to what was typed. */
function nearest(typed: string, names: readonly string[]): string {
  const best = names.map((name) => ({ name, distance: editDistance(typed, name) })).sort((a, b) => a.distance - b.distance)[0];
  return best && best.distance <= 2 ? ` Did you mean --${best.name}?` : '';
}

/** Levenshtein's distance: the fewest insertions, deletions and replacements between two words. */
function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) next[j] = Math.min(next[j - 1]! + 1, row[j]! + 1, row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1));
    row = next;
  }
  return row[b.length]!;
}
