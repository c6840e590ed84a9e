/** Figures side by side, each tagged with what is said in its place, its heading above and its caption beneath. */
import type { Block, Figure } from './blocks.ts';
import { drawPicture, pictureSize } from './draw-picture.ts';
import { setLines } from './draw-text.ts';
import { scaled, TEXT_HEIGHT, TYPE, WASH } from './paper.ts';
import { artifact, content, element, layOut, makeRoom, type Pen } from './pen.ts';

type Figures = Extract<Block, { kind: 'figures' }>;
const GUTTER = 10;

/** Height of the whole row, pt; used to keep a heading with it. */
export function figuresHeight(pen: Pen, block: Figures): number {
  return layFigures(pen, block).height;
}

export function drawFigures(pen: Pen, block: Figures): void {
  const { laid, height, headHeight, pictureHeight } = layFigures(pen, block);
  makeRoom(pen, height);
  const top = pen.y;
  for (const { figure, heads, captions, size, x, width } of laid) {
    const box = { x: x + (width - size.width) / 2, y: top + headHeight, ...size };
    // Photographs stand on a ground of their own, so that rows of unlike shapes read as rows.
    if ('jpeg' in figure.picture) artifact(pen, () => pen.doc.rect(x, box.y, width, pictureHeight).fill(WASH));
    const h3 = scaled(TYPE.h3, pen.scale);
    if (heads.length > 0) element(pen, 'H3', {}, () => content(pen, 'H3', () => setLines(pen, heads, x, top, h3)));
    element(pen, 'Figure', { alt: figure.picture.alt, bbox: [box.x, box.y, box.x + size.width, box.y + size.height] }, () => {
      content(pen, 'Figure', () => drawPicture(pen, figure.picture, box));
      if (captions.length > 0) {
        const style = scaled(TYPE.caption, pen.scale);
        element(pen, 'Caption', {}, () =>
          content(pen, 'Caption', () => setLines(pen, captions, x, box.y + pictureHeight + style.before, style)),
        );
      }
    });
  }
  pen.y = top + height;
}

function layFigures(pen: Pen, { figures, mostHeight = TEXT_HEIGHT * 0.7, across = figures.length }: Figures) {
  const width = (pen.width - GUTTER * (across - 1)) / across;
  const h3 = scaled(TYPE.h3, pen.scale);
  const style = scaled(TYPE.caption, pen.scale);
  const laid = figures.map((figure: Figure, k) => ({
    figure,
    x: pen.left + k * (width + GUTTER),
    width,
    heads: figure.heading ? layOut(pen, figure.heading, h3, width, 'bold') : [],
    captions: figure.caption ? layOut(pen, figure.caption, style, width) : [],
    size: pictureSize(pen, figure.picture, width, mostHeight),
  }));
  const most = (of: (one: (typeof laid)[number]) => number): number => Math.max(0, ...laid.map(of));
  const lines = most(({ heads }) => heads.length);
  const headHeight = lines > 0 ? lines * h3.leading + h3.after : 0;
  const pictureHeight = most(({ size }) => size.height);
  const captionHeight = most(({ captions }) => captions.length) * style.leading;
  return { laid, headHeight, pictureHeight, height: headHeight + pictureHeight + style.before + captionHeight + 9 };
}
