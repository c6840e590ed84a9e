/** A box of text on a tinted ground, kept on one page; what is too long for one is set without the ground, so that it can run on. */
import type { Block } from './blocks.ts';
import { drawHeading, drawList, drawParagraph, headingStyle, ITEM_GAP, listStyle, paragraphStyle, underHeading } from './draw-text.ts';
import { TEXT_HEIGHT, WARN_WASH, WASH } from './paper.ts';
import { artifact, element, layOut, makeRoom, type Pen } from './pen.ts';

type Box = Extract<Block, { kind: 'box' }>;
const PAD = { x: 11, top: 9, bottom: 5 };

export function drawBox(pen: Pen, { blocks, tone = 'plain' }: Box): void {
  const outer = { left: pen.left, width: pen.width };
  pen.left += PAD.x;
  pen.width -= 2 * PAD.x;
  const height = boxHeight(pen, blocks);
  const whole = height <= TEXT_HEIGHT;
  if (whole) makeRoom(pen, height);
  const top = pen.y;
  if (whole) artifact(pen, () => pen.doc.rect(outer.left, top, outer.width, height).fill(tone === 'warning' ? WARN_WASH : WASH));
  pen.y += PAD.top;
  element(pen, 'Sect', {}, () => {
    for (const [k, block] of blocks.entries()) {
      if (block.kind === 'heading') drawHeading(pen, block, { company: 0, first: k === 0 });
      else if (block.kind === 'paragraph') drawParagraph(pen, block);
      else if (block.kind === 'list') drawList(pen, block);
    }
  });
  pen.y = whole ? top + height + 8 : pen.y + PAD.bottom + 8;
  Object.assign(pen, outer);
}

function boxHeight(pen: Pen, blocks: readonly Block[]): number {
  let height = PAD.top + PAD.bottom;
  for (const [k, block] of blocks.entries()) height += blockHeight(pen, block, k === 0);
  return height;
}

/** What the drawing of the block adds to the pen's place. */
function blockHeight(pen: Pen, block: Block, first: boolean): number {
  switch (block.kind) {
    case 'heading': {
      const style = headingStyle(pen, block.level);
      return (
        (first ? 0 : style.before) +
        layOut(pen, block.text, style, pen.width, 'bold').length * style.leading +
        style.after +
        underHeading(block.level)
      );
    }
    case 'paragraph': {
      const { style, indent } = paragraphStyle(pen, block.look);
      return style.before + layOut(pen, block.words, style, pen.width - indent).length * style.leading + style.after;
    }
    case 'list': {
      const { style, indent } = listStyle(pen, block);
      return block.items.reduce(
        (sum, item) => sum + (layOut(pen, item, style, pen.width - indent).length + ITEM_GAP) * style.leading,
        style.after,
      );
    }
    default:
      throw new RangeError(`a box holds headings, paragraphs and lists, not a ${block.kind}`);
  }
}
