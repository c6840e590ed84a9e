/**
 * The pen that a report is written with: one pdfkit document, its typefaces, its structure, and the place where it stands.
 *
 * Frame   pt; x right, y down from the top of the page.
 *
 * Everything drawn is either content of a structure element (ISO 32000-1, 14.8) or an artifact; `content` and `artifact` are the
 * only ways to draw. Same inputs, same bytes: the date comes from the inputs, and pdfkit makes the file's id of date and title.
 */
import PDFDocument from 'pdfkit';
import type { PrintedReport, Words } from './blocks.ts';
import { FACES, type Face, fontBytes } from './fonts.ts';
import { MARGIN, PAGE, TEXT_WIDTH, type TypeStyle } from './paper.ts';
import { printable, REPLACEMENT } from './printable.ts';
import { type Measure, plainOf, runsOf, type TextLine, wrapRuns } from './wrap-runs.ts';

type Doc = PDFKit.PDFDocument;
export type Element = PDFKit.PDFStructureElement;
/** What is said of an element beside its type; pdfkit's own types know only a part of it. `bbox` is x0, y0, x1, y1 from the page's top left. */
export type ElementOptions = Readonly<{ alt?: string; bbox?: readonly number[]; scope?: 'Column' | 'Row'; lang?: string }>;

export type Pen = {
  readonly doc: Doc;
  /** Elements are added to the innermost that is open; the outermost is the document itself. */
  readonly open: Element[];
  readonly scale: number;
  /** Left edge and width of the column that is being set. */
  left: number;
  width: number;
  /** Where the next block begins. */
  y: number;
  /** Lowest place that text may take. */
  bottom: number;
  /** Whether some sign could not be set, and was put as U+FFFD. */
  replaced: boolean;
  /** Draws what stands at the head and foot of each new page. */
  onPage: () => void;
};

const SCALES: Readonly<Record<Face, number>> = { regular: 1, bold: 1, italic: 1, 'bold-italic': 1, mono: 0.86 };

export function takePen({ title, madeAt, textScale = 1 }: PrintedReport): Pen {
  const made = new Date(madeAt);
  if (Number.isNaN(made.getTime())) throw new RangeError(`a report is made at a time in ISO 8601, got ${madeAt}`);
  const options = {
    size: [PAGE.width, PAGE.height],
    margin: 0,
    autoFirstPage: false,
    bufferPages: true,
    pdfVersion: '1.7',
    lang: 'en-GB',
    tagged: true,
    displayTitle: true,
    subset: 'PDF/UA',
    // No face of the viewer's own: everything is set in the ones below.
    font: null as unknown as string,
    info: { Title: title, Creator: 'Ebbline', Producer: 'pdfkit', CreationDate: made, ModDate: made },
  } as const;
  const doc = new PDFDocument(options as unknown as PDFKit.PDFDocumentOptions);
  escapeMetadata(doc);
  for (const face of FACES) doc.registerFont(face, fontBytes(face));
  const root = doc.struct('Document');
  doc.addStructure(root);
  return {
    doc,
    open: [root],
    scale: textScale,
    left: MARGIN.left,
    width: TEXT_WIDTH,
    y: MARGIN.top,
    bottom: PAGE.height - MARGIN.bottom,
    replaced: false,
    onPage: () => {},
  };
}

/** pdfkit 0.20 writes the title into the XML of the metadata as it is, where an ampersand would break the whole. */
function escapeMetadata(doc: Doc): void {
  const inner = doc as unknown as { info: Record<string, unknown>; endMetadata: () => void };
  const write = inner.endMetadata;
  inner.endMetadata = function (this: typeof inner) {
    const plain = this.info;
    this.info = Object.fromEntries(
      Object.entries(plain).map(([key, value]) => [
        key,
        typeof value === 'string' ? value.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;') : value,
      ]),
    );
    write.call(this);
    this.info = plain;
  };
}

/** An element that is not yet part of anything. */
export const newElement = (pen: Pen, type: string, options: ElementOptions = {}): Element => pen.doc.struct(type, options);

/** An element inside the one that is open; what `inside` adds becomes its children. */
export function element(pen: Pen, type: string, options: ElementOptions, inside: () => void): void {
  const made = newElement(pen, type, options);
  pen.open.at(-1)!.add(made);
  pen.open.push(made);
  inside();
  pen.open.pop();
}

/** Draws content of the open element. A page must not end inside: whoever breaks a page draws its parts one by one. */
export function content(pen: Pen, tag: string, draw: () => void): void {
  pen.open.at(-1)!.add(pen.doc.markStructureContent(tag));
  draw();
  pen.doc.endMarkedContent();
}

/** Draws what only dresses the page: rules, grounds, running heads. */
export function artifact(pen: Pen, draw: () => void, type?: 'Pagination' | 'Layout'): void {
  pen.doc.markContent('Artifact', type ? { type } : { type: 'Layout' });
  draw();
  pen.doc.endMarkedContent();
}

/** A new page, with its head and foot. */
export function newPage(pen: Pen): void {
  pen.doc.addPage();
  pen.y = MARGIN.top;
  pen.onPage();
}

/** Begins a page unless `height` fits under the pen. True when it did. */
export function makeRoom(pen: Pen, height: number): boolean {
  if (pen.y + height <= pen.bottom || pen.y <= MARGIN.top) return false;
  newPage(pen);
  return true;
}

/** Words as lines in the pen's typefaces. */
export function layOut(pen: Pen, words: Words, style: TypeStyle, width: number, base: 'regular' | 'bold' = 'regular'): TextLine[] {
  const runs = runsOf(words).map((run) => ({ ...run, text: asSet(pen, run.text) }));
  return wrapRuns(runs, width, measureAt(pen, style.size), base);
}

export const widthOf = (pen: Pen, text: string, size: number, face: Face = 'regular'): number =>
  measureAt(pen, size)(asSet(pen, text), face);

const measureAt =
  (pen: Pen, size: number): Measure =>
  (text, face) => {
    pen.doc.font(face).fontSize(size * SCALES[face]);
    return pen.doc.widthOfString(text);
  };

/** The words as they can be set. Notes that something had to be replaced. */
export function asSet(pen: Pen, text: string): string {
  const { doc } = pen;
  doc.font('regular');
  const font = (doc as unknown as { _font: { font: { hasGlyphForCodePoint(codePoint: number): boolean } } })._font.font;
  const out = printable(text, (codePoint) => font.hasGlyphForCodePoint(codePoint));
  if (out.includes(REPLACEMENT)) pen.replaced = true;
  return out;
}

/** One line with its baseline at `y`. Only inside `content` or `artifact`. */
export function drawLine(pen: Pen, line: TextLine, x: number, y: number, style: TypeStyle): void {
  const { doc } = pen;
  let at = x;
  for (const { text, face, width } of line.pieces) {
    doc
      .font(face)
      .fontSize(style.size * SCALES[face])
      .fillColor(style.colour)
      .text(text, at, y, { lineBreak: false, baseline: 'alphabetic' });
    at += width;
  }
}

/** Distance from the top of a line to its baseline: letters stand in the middle of their leading. */
export const baseline = ({ size, leading }: TypeStyle): number => leading / 2 + 0.36 * size;

export { plainOf };
