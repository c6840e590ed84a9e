/**
 * A printed report as plain data: what it says, in reading order, without a word on where it comes to stand.
 * `write-pdf.ts` lays it out and tags it. All words go through `printable.ts`; nobody else needs to mind the typeface.
 */

/** A stretch of text in one face. */
export type Run = Readonly<{ text: string; bold?: boolean; italic?: boolean; mono?: boolean }>;
export type Words = string | readonly (string | Run)[];

/** `lead` is the answer at the head of a report, `quote` another person's own words, `note` something not to be missed. */
export type ParagraphLook = 'body' | 'lead' | 'small' | 'quote' | 'note';

/** A drawing of ours as SVG text, or a photograph as JPEG bytes. `alt` is said in its place. */
export type Picture = Readonly<{ svg: string; alt: string } | { jpeg: Uint8Array; alt: string }>;

/** `head` makes a cell of the body the heading of its row. A cell is words or a drawing, which takes the column's width. */
export type Cell = Words | Readonly<{ picture: Picture }>;
export type Column = Readonly<{
  head: Words;
  /** Share of the width, relative to the other columns. */
  share: number;
  align?: 'left' | 'right' | 'centre';
  /** A drawing over the column, such as its axis; it says nothing that its cells do not say. */
  headPicture?: string;
}>;
export type Row = Readonly<{ cells: readonly Cell[]; bold?: boolean; shaded?: boolean }>;

export type Figure = Readonly<{ picture: Picture; caption?: Words; heading?: string }>;

export type Block =
  | Readonly<{ kind: 'heading'; level: 1 | 2 | 3; text: string }>
  | Readonly<{ kind: 'paragraph'; words: Words; look?: ParagraphLook }>
  | Readonly<{ kind: 'list'; items: readonly Words[]; numbered?: boolean; look?: 'body' | 'small' }>
  /** `rowHeads` is the column whose cells name their rows. `caption` is said and shown above. */
  | Readonly<{ kind: 'table'; columns: readonly Column[]; rows: readonly Row[]; caption?: string; rowHeads?: number }>
  /** Side by side, kept on one page. `mostHeight` in pt bounds each picture; `across` leaves room for that many. */
  | Readonly<{ kind: 'figures'; figures: readonly Figure[]; mostHeight?: number; across?: number }>
  /** On a tinted ground, kept together where a page can hold it. */
  | Readonly<{ kind: 'box'; blocks: readonly Block[]; tone?: 'plain' | 'warning' }>
  /** What follows begins a page, unless it already stands at the head of one. */
  | Readonly<{ kind: 'new-page' }>
  | Readonly<{ kind: 'gap'; pt: number }>;

export type PrintedReport = Readonly<{
  /** Of the document: shown by readers and in the list of windows. */
  title: string;
  /** A short line at the head of every page, left: which report of what. */
  running: string;
  /** The same on the right of the foot, before the page's number, such as the beginning of the content's hash. */
  footing: string;
  /** Said at the head of every page, plainly; null for a report that is final. */
  draft: string | null;
  /** ISO 8601 in UTC: the date the file says it was made on. It comes from the inputs, never from the clock. */
  madeAt: string;
  blocks: readonly Block[];
  /** 1 for reports of record; larger for large print. */
  textScale?: number;
}>;
