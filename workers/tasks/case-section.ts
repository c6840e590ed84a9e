/** The benchmark's section on a big case, in Markdown. */
import type { CaseFigures } from './bench-case.ts';

/** What the project asks of the page of a big case, after its first opening. */
const GOAL_MS = 300;

export function caseSection(book: CaseFigures, megapixels: number): string {
  const ms = (value: number) => `${value.toFixed(value < 100 ? 1 : 0)} ms`;
  const met = (yes: boolean) => (yes ? 'met' : 'not met');
  return `
## A big case

${book.visits} visits, ${book.photos} photographs, treatments and comparisons; then ${book.imported} photographs of ${megapixels} megapixels (${(book.importedBytes / 2 ** 20).toFixed(1)} MiB each) taken in, sealed, judged and put into visits.

| what | figure |
| --- | --- |
| opening it in the record, the first time in a process | ${ms(book.openFirstMs)} |
| opening it in the record after that, median | ${ms(book.openMs)} |
| its page, the first time | ${book.pageFirstMs === null ? 'not measured: the page is not built' : ms(book.pageFirstMs)} |
| its page after that, median | ${book.pageMs === null ? 'not measured: the page is not built' : `${ms(book.pageMs)} (goal ${GOAL_MS} ms: ${met(book.pageMs < GOAL_MS)})`} |
| importing ${book.imported} photographs, two threads | ${(book.importMs / 1000).toFixed(1)} s, ${ms(book.importMs / book.imported)} each |
| importing ${book.imported / 5}: one thread over two | ${(book.oneThreadMs / book.twoThreadsMs).toFixed(2)} times |
`;
}
