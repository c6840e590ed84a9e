/**
 * How hard a text is to read: the Flesch-Kincaid grade, 0.39 words/sentence + 11.8 syllables/word - 15.59, in years of American schooling.
 * Source  Kincaid, Fishburne, Rogers & Chissom, "Derivation of new readability formulas", Research Branch Report 8-75, Naval Technical
 * Training Command, 1975. A child of 12 is in grade 6 or 7. Syllables are counted as groups of vowels, less a silent final e.
 */

/** Each text is at least one sentence. Numbers count as one syllable for each digit pair, which is what most are said in. */
export function fleschKincaidGrade(texts: readonly string[]): number {
  const sentences = texts.flatMap((text) => text.split(/[.!?:]+(?:\s|$)/)).filter((sentence) => /\w/.test(sentence));
  const words = sentences.flatMap((sentence) => sentence.match(/[\p{L}\p{N}'\u2019-]+/gu) ?? []);
  const spoken = words.reduce((sum, word) => sum + syllables(word), 0);
  return (0.39 * words.length) / sentences.length + (11.8 * spoken) / words.length - 15.59;
}

export function syllables(word: string): number {
  const letters = word.toLowerCase().replace(/[^a-z]/g, '');
  if (letters === '') return Math.max(1, Math.ceil(word.length / 2));
  const groups = letters.replace(/(?:[^laeiouy]e|[^aeiouydt]ed)$/, (end) => end[0]!).match(/[aeiouy]+/g)?.length ?? 0;
  return Math.max(1, groups);
}
