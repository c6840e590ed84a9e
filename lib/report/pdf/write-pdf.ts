/**
 * A printed report as the bytes of a tagged PDF 1.7 that keeps to PDF/UA-1 (ISO 14289-1): title, language, structure in reading order,
 * headings, tables with heading cells, pictures with words in their place, artifacts marked as such, typefaces set in, bookmarks.
 * Same report, same bytes.
 */
import type { Block, PrintedReport } from './blocks.ts';
import { drawBox } from './draw-box.ts';
import { drawFigures, figuresHeight } from './draw-figures.ts';
import { drawTable } from './draw-table.ts';
import { drawHeading, drawList, drawParagraph } from './draw-text.ts';
import { drawFeet, drawHead } from './page-frame.ts';
import { MARGIN } from './paper.ts';
import { newPage, type Pen, takePen } from './pen.ts';
import { REPLACEMENT } from './printable.ts';

export type WrittenPdf = Readonly<{
  bytes: Uint8Array;
  pages: number;
  /** Whether signs were replaced that the typefaces lack; the report itself says so at its end. */
  replaced: boolean;
}>;

/** Rejects only on a programmer's mistake, such as a drawing that is not well formed or a picture that is no JPEG. */
export async function writePdf(report: PrintedReport): Promise<WrittenPdf> {
  const pen = takePen(report);
  const chunks: Buffer[] = [];
  const ended = new Promise<void>((resolve, reject) => {
    pen.doc.on('data', (chunk: Buffer) => chunks.push(chunk));
    pen.doc.on('end', resolve);
    pen.doc.on('error', reject);
  });
  pen.onPage = () => drawHead(pen, report);
  newPage(pen);
  drawBlocks(pen, report.blocks);
  if (pen.replaced) drawParagraph(pen, { kind: 'paragraph', look: 'small', words: REPLACED });
  const pages = drawFeet(pen, report);
  pen.doc.end();
  await ended;
  return { bytes: new Uint8Array(Buffer.concat(chunks)), pages, replaced: pen.replaced };
}

const REPLACED = `${REPLACEMENT} stands for a sign that the typeface of this report cannot show. The record keeps the text as it was written.`;

function drawBlocks(pen: Pen, blocks: readonly Block[]): void {
  for (const [k, block] of blocks.entries()) {
    switch (block.kind) {
      case 'heading':
        drawHeading(pen, block, { company: companyOf(pen, blocks, k + 1) });
        break;
      case 'paragraph':
        drawParagraph(pen, block);
        break;
      case 'list':
        drawList(pen, block);
        break;
      case 'table':
        drawTable(pen, block);
        break;
      case 'figures':
        drawFigures(pen, block);
        break;
      case 'box':
        drawBox(pen, block);
        break;
      case 'new-page':
        if (pen.y > MARGIN.top) newPage(pen);
        break;
      case 'gap':
        pen.y += block.pt;
        break;
      default: {
        const never: never = block;
        throw new RangeError(`printed reports have no block ${JSON.stringify(never)}`);
      }
    }
  }
}

/** Room for what a heading stands over: a whole row of figures, otherwise a few lines; headings that follow at once are counted in. */
function companyOf(pen: Pen, blocks: readonly Block[], from: number): number {
  const next = blocks[from];
  if (next?.kind === 'figures') return figuresHeight(pen, next);
  if (next?.kind === 'heading') return 30 + companyOf(pen, blocks, from + 1);
  if (next?.kind === 'table') return 70;
  return 42;
}
