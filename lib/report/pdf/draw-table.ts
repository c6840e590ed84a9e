/** Tables: tagged with row and column headings; a head that stands again on every page it runs on; rows kept whole where a page can hold them. */
import type { Block, Cell, Column, Row } from './blocks.ts';
import { drawPicture, pictureSize } from './draw-picture.ts';
import { setLines } from './draw-text.ts';
import { LINE, SOFT, scaled, TEXT_HEIGHT, TYPE, type TypeStyle, WASH } from './paper.ts';
import type { Element } from './pen.ts';
import { artifact, baseline, content, drawLine, element, layOut, makeRoom, newElement, newPage, type Pen } from './pen.ts';
import type { TextLine } from './wrap-runs.ts';

type Table = Extract<Block, { kind: 'table' }>;
type Place = Readonly<{ x: number; width: number; align: NonNullable<Column['align']> }>;
type Laid = Readonly<{ lines: readonly TextLine[]; picture: Extract<Cell, { picture: unknown }>['picture'] | null; height: number }>;

const PAD = 3;
const GUTTER = 7;

export function drawTable(pen: Pen, table: Table): void {
  const style = scaled(TYPE.cell, pen.scale);
  const headStyle: TypeStyle = { ...style, colour: SOFT };
  const places = placesOf(table.columns, pen);
  const heads = table.columns.map(({ head }, k) => layOut(pen, head, headStyle, places[k]!.width, 'bold'));
  const pictures = table.columns.map(({ headPicture }, k) =>
    headPicture ? pictureSize(pen, { svg: headPicture, alt: '' }, places[k]!.width, 200) : null,
  );
  const headHeight = Math.max(...heads.map((lines, k) => lines.length * headStyle.leading + (pictures[k]?.height ?? 0))) + 2 * PAD;
  const first = table.rows[0] ? rowHeight(layRow(pen, table.rows[0], places, style), style) : 0;
  const caption = table.caption ? layOut(pen, table.caption, scaled(TYPE.caption, pen.scale), pen.width) : [];
  makeRoom(pen, caption.length * TYPE.caption.leading * pen.scale + headHeight + Math.min(first, 200));

  element(pen, 'Table', {}, () => {
    if (caption.length > 0) {
      const captionStyle = scaled(TYPE.caption, pen.scale);
      element(pen, 'Caption', {}, () => content(pen, 'Caption', () => setLines(pen, caption, pen.left, pen.y, captionStyle)));
      pen.y += caption.length * captionStyle.leading + 2;
    }
    element(pen, 'TR', {}, () => {
      for (const [k, lines] of heads.entries())
        element(pen, 'TH', { scope: 'Column' }, () => content(pen, 'TH', () => setCell(pen, lines, places[k]!, pen.y + PAD, headStyle)));
    });
    const dressHead = (): void => {
      for (const [k, { headPicture }] of table.columns.entries())
        if (headPicture)
          drawPicture(
            pen,
            { svg: headPicture, alt: '' },
            { x: places[k]!.x, y: pen.y + headHeight - PAD - pictures[k]!.height, ...pictures[k]! },
          );
      rule(pen, pen.y + headHeight, 1, SOFT);
    };
    artifact(pen, dressHead);
    pen.y += headHeight;
    const repeatHead = (): void => {
      newPage(pen);
      artifact(pen, () => {
        for (const [k, lines] of heads.entries()) setCell(pen, lines, places[k]!, pen.y + PAD, headStyle);
        dressHead();
      });
      pen.y += headHeight;
    };
    for (const row of table.rows) drawRow(pen, row, table.rowHeads ?? null, places, style, headHeight, repeatHead);
  });
  pen.y += 8;
}

function placesOf(columns: readonly Column[], pen: Pen): Place[] {
  const whole = columns.reduce((sum, { share }) => sum + share, 0);
  const room = pen.width - GUTTER * (columns.length - 1);
  let x = pen.left;
  return columns.map(({ share, align = 'left' }) => {
    const width = (room * share) / whole;
    const place = { x, width, align };
    x += width + GUTTER;
    return place;
  });
}

function layRow(pen: Pen, { cells, bold = false }: Row, places: readonly Place[], style: TypeStyle): Laid[] {
  if (cells.length !== places.length) throw new RangeError(`a row of ${cells.length} cells stands in a table of ${places.length} columns`);
  return cells.map((cell, k) => {
    if (typeof cell === 'object' && 'picture' in cell)
      return { lines: [], picture: cell.picture, height: pictureSize(pen, cell.picture, places[k]!.width, 200).height };
    const lines = layOut(pen, cell, style, places[k]!.width, bold ? 'bold' : 'regular');
    return { lines, picture: null, height: lines.length * style.leading };
  });
}

const rowHeight = (cells: readonly Laid[], style: TypeStyle): number =>
  Math.max(style.leading, ...cells.map(({ height }) => height)) + 2 * PAD;

function drawRow(
  pen: Pen,
  row: Row,
  rowHeads: number | null,
  places: readonly Place[],
  style: TypeStyle,
  headHeight: number,
  repeatHead: () => void,
): void {
  const cells = layRow(pen, row, places, style);
  const height = rowHeight(cells, style);
  const tall = height > TEXT_HEIGHT - headHeight;
  if (!tall && pen.y + height > pen.bottom) repeatHead();
  element(pen, 'TR', {}, () => {
    const elements = cells.map((_, k) => cellElement(pen, k === rowHeads));
    let from = 0;
    for (;;) {
      const left = cells.map(({ lines }) => lines.slice(from));
      const most = tall ? Math.max(1, Math.floor((pen.bottom - pen.y - 2 * PAD) / style.leading)) : Number.POSITIVE_INFINITY;
      const part = left.map((lines) => lines.slice(0, most));
      const deep = tall ? Math.max(...part.map((lines) => lines.length)) * style.leading + 2 * PAD : height;
      const top = pen.y;
      if (row.shaded) artifact(pen, () => pen.doc.rect(pen.left - 3, top, pen.width + 6, deep).fill(WASH));
      for (const [k, lines] of part.entries()) {
        pen.open.push(elements[k]!);
        const { picture } = cells[k]!;
        if (picture && from === 0) {
          const size = pictureSize(pen, picture, places[k]!.width, 200);
          const box = { x: places[k]!.x, y: top + (deep - size.height) / 2, ...size };
          element(pen, 'Figure', { alt: picture.alt, bbox: [box.x, box.y, box.x + box.width, box.y + box.height] }, () =>
            content(pen, 'Figure', () => drawPicture(pen, picture, box)),
          );
        } else if (from === 0 || lines.length > 0) content(pen, 'TD', () => setCell(pen, lines, places[k]!, top + PAD, style));
        pen.open.pop();
      }
      pen.y = top + deep;
      artifact(pen, () => rule(pen, pen.y, 0.5, LINE));
      from += most;
      if (!cells.some(({ lines }) => lines.length > from)) break;
      repeatHead();
    }
  });
}

function cellElement(pen: Pen, heads: boolean): Element {
  const made = heads ? newElement(pen, 'TH', { scope: 'Row' }) : newElement(pen, 'TD');
  pen.open.at(-1)!.add(made);
  return made;
}

function setCell(pen: Pen, lines: readonly TextLine[], { x, width, align }: Place, top: number, style: TypeStyle): void {
  for (const [k, line] of lines.entries()) {
    const shift = align === 'right' ? width - line.width : align === 'centre' ? (width - line.width) / 2 : 0;
    drawLine(pen, line, x + shift, top + k * style.leading + baseline(style), style);
  }
}

function rule(pen: Pen, y: number, weight: number, colour: string): void {
  pen.doc
    .moveTo(pen.left, y)
    .lineTo(pen.left + pen.width, y)
    .lineWidth(weight)
    .strokeColor(colour)
    .stroke();
}
