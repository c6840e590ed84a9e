/** What every page carries around its text: which report it is, whether it is a draft, and which page of how many. */
import type { PrintedReport } from './blocks.ts';
import { ACCENT, LINE, MARGIN, PAGE, TYPE } from './paper.ts';
import { artifact, asSet, type Pen, widthOf } from './pen.ts';

const HEAD_BASE = 36;
const RULE = 44;
const FOOT_BASE = PAGE.height - 28;

/** Draws the head of the page that the pen is on. */
export function drawHead(pen: Pen, { running, draft }: Pick<PrintedReport, 'running' | 'draft'>): void {
  const { doc } = pen;
  const right = PAGE.width - MARGIN.right;
  artifact(
    pen,
    () => {
      const { size, colour } = TYPE.running;
      let room = right - MARGIN.left;
      if (draft !== null) {
        const words = asSet(pen, draft);
        const width = widthOf(pen, words, 10, 'bold') + 16;
        room -= width + 12;
        doc.rect(right - width, HEAD_BASE - 13, width, 18).fill(ACCENT);
        doc
          .font('bold')
          .fontSize(10)
          .fillColor('#ffffff')
          .text(words, right - width + 8, HEAD_BASE, { lineBreak: false, baseline: 'alphabetic' });
      }
      const line = shortened(pen, running, room);
      doc.font('regular').fontSize(size).fillColor(colour).text(line, MARGIN.left, HEAD_BASE, { lineBreak: false, baseline: 'alphabetic' });
      doc.moveTo(MARGIN.left, RULE).lineTo(right, RULE).lineWidth(0.75).strokeColor(LINE).stroke();
    },
    'Pagination',
  );
}

/** Draws the feet of all pages, now that their number is known. */
export function drawFeet(pen: Pen, { footing }: Pick<PrintedReport, 'footing'>): number {
  const { doc } = pen;
  const { start, count } = doc.bufferedPageRange();
  const right = PAGE.width - MARGIN.right;
  for (let page = 0; page < count; page++) {
    doc.switchToPage(start + page);
    artifact(
      pen,
      () => {
        const { size, colour } = TYPE.running;
        const number = `Page ${page + 1} of ${count}`;
        const wide = widthOf(pen, number, size);
        doc.font('regular').fontSize(size).fillColor(colour);
        doc.text(number, right - wide, FOOT_BASE, { lineBreak: false, baseline: 'alphabetic' });
        const left = shortened(pen, footing, right - MARGIN.left - wide - 16);
        doc
          .font('regular')
          .fontSize(size)
          .fillColor(colour)
          .text(left, MARGIN.left, FOOT_BASE, { lineBreak: false, baseline: 'alphabetic' });
      },
      'Pagination',
    );
  }
  return count;
}

/** Cut with an ellipsis where it would run into its neighbour. */
function shortened(pen: Pen, text: string, room: number): string {
  const whole = asSet(pen, text);
  if (widthOf(pen, whole, TYPE.running.size) <= room) return whole;
  let signs = [...whole];
  while (signs.length > 0 && widthOf(pen, `${signs.join('')}\u2026`, TYPE.running.size) > room) signs = signs.slice(0, -1);
  return `${signs.join('')}\u2026`;
}
