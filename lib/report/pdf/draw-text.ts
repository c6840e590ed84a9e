/** Headings, paragraphs and lists on the page, tagged as what they are, and broken over pages without lone lines. */
import type { Block, ParagraphLook, Words } from './blocks.ts';
import { ACCENT, LINE, MARGIN, scaled, TYPE, type TypeStyle } from './paper.ts';
import { artifact, asSet, baseline, content, drawLine, element, layOut, makeRoom, newPage, type Pen } from './pen.ts';
import type { TextLine } from './wrap-runs.ts';

type Of<K extends Block['kind']> = Extract<Block, { kind: K }>;

/** Bars beside the text, by look. */
const BARS: Partial<Record<ParagraphLook, string>> = { quote: LINE, note: ACCENT };
const BAR_INDENT = 10;

const HEADINGS = { 1: TYPE.h1, 2: TYPE.h2, 3: TYPE.h3 } as const;
/** Headings grow less than the text of large print: they are large already. */
export const headingStyle = (pen: Pen, level: 1 | 2 | 3): TypeStyle => scaled(HEADINGS[level], 1 + 0.35 * (pen.scale - 1));
/** Text that must fit beneath a heading, pt, and the most that may be asked for. */
const COMPANY = { least: 42, most: 420 };
/** Room between the items of a list, in leadings. */
export const ITEM_GAP = 0.18;
/** Room that a heading's rule takes. */
export const underHeading = (level: 1 | 2 | 3): number => (level === 2 ? 2 : 0);

export function paragraphStyle(pen: Pen, look: ParagraphLook = 'body'): { style: TypeStyle; indent: number } {
  return { style: scaled(TYPE[look], pen.scale), indent: BARS[look] ? BAR_INDENT : 0 };
}

export function listStyle(pen: Pen, { numbered = false, look = 'body' }: Of<'list'>): { style: TypeStyle; indent: number } {
  const style = scaled(TYPE[look], pen.scale);
  return { style, indent: (numbered ? 1.9 : 1.25) * style.size };
}

/** `company` is the least height of what follows, which the heading must not be parted from; the `first` of a box needs no room above. */
export function drawHeading(pen: Pen, { level, text }: Of<'heading'>, { company = COMPANY.least, first = false } = {}): void {
  const style = headingStyle(pen, level);
  const lines = layOut(pen, text, style, pen.width, 'bold');
  const before = first || pen.y <= MARGIN.top ? 0 : style.before;
  const fresh = makeRoom(pen, before + lines.length * style.leading + style.after + Math.min(company, COMPANY.most));
  if (!fresh) pen.y += before;
  const top = pen.y;
  element(pen, `H${level}`, {}, () => content(pen, `H${level}`, () => setLines(pen, lines, pen.left, top, style)));
  mark(pen, level, text, top);
  pen.y = top + lines.length * style.leading + style.after;
  if (level !== 2) return;
  const line = pen.y - 3;
  artifact(pen, () =>
    pen.doc
      .moveTo(pen.left, line)
      .lineTo(pen.left + pen.width, line)
      .lineWidth(0.75)
      .strokeColor(LINE)
      .stroke(),
  );
  pen.y += underHeading(level);
}

/** The bookmarks: sections of the first two levels. */
function mark(pen: Pen, level: 1 | 2 | 3, text: string, top: number): void {
  if (level === 3) return;
  const { outline } = pen.doc;
  // pdfkit measures `left` and `top` from the right and the upper edge of the page.
  const place = { top: Math.max(0, top - 8), left: pen.doc.page.width, expanded: true } as Parameters<typeof outline.addItem>[1];
  outline.addItem(asSet(pen, text), place);
}

export function drawParagraph(pen: Pen, { words, look = 'body' }: Of<'paragraph'>): void {
  const { style, indent } = paragraphStyle(pen, look);
  const bar = BARS[look];
  const lines = layOut(pen, words, style, pen.width - indent);
  pen.y += style.before;
  element(pen, look === 'quote' ? 'BlockQuote' : 'P', {}, () => {
    const inside = (): void => flow(pen, lines, style, indent, bar);
    if (look === 'quote') element(pen, 'P', {}, inside);
    else inside();
  });
  pen.y += style.after;
}

/** Lines from the pen's place on, with at least two on each side of a break. */
function flow(pen: Pen, lines: readonly TextLine[], style: TypeStyle, indent: number, bar?: string): void {
  let rest = lines;
  while (rest.length > 0) {
    let fits = Math.min(rest.length, Math.floor((pen.bottom - pen.y + 0.01) / style.leading));
    if (fits < rest.length && rest.length - fits < 2) fits = rest.length - 2;
    if (fits < Math.min(2, rest.length) && makeRoom(pen, Math.min(2, rest.length) * style.leading)) continue;
    const part = rest.slice(0, Math.max(1, fits));
    const top = pen.y;
    const height = part.length * style.leading;
    if (bar) artifact(pen, () => pen.doc.rect(pen.left, top + 1, 2.5, height - 2).fill(bar));
    content(pen, 'P', () => setLines(pen, part, pen.left + indent, top, style));
    pen.y = top + height;
    rest = rest.slice(part.length);
    if (rest.length > 0) newPage(pen);
  }
}

export function drawList(pen: Pen, block: Of<'list'>): void {
  const { items, numbered = false } = block;
  const { style, indent } = listStyle(pen, block);
  element(pen, 'L', {}, () => {
    for (const [k, item] of items.entries()) drawItem(pen, item, numbered ? `${k + 1}.` : '\u2022', indent, style);
  });
  pen.y += style.after;
}

function drawItem(pen: Pen, words: Words, label: string, indent: number, style: TypeStyle): void {
  const lines = layOut(pen, words, style, pen.width - indent);
  makeRoom(pen, Math.min(2, lines.length) * style.leading);
  element(pen, 'LI', {}, () => {
    const mark = layOut(pen, label, style, indent);
    element(pen, 'Lbl', {}, () => content(pen, 'Lbl', () => setLines(pen, mark, pen.left, pen.y, style)));
    element(pen, 'LBody', {}, () => flow(pen, lines, style, indent));
  });
  pen.y += ITEM_GAP * style.leading;
}

export function setLines(pen: Pen, lines: readonly TextLine[], x: number, top: number, style: TypeStyle): void {
  for (const [k, line] of lines.entries()) drawLine(pen, line, x, top + k * style.leading + baseline(style), style);
}
