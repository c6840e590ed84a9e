/** A picture into a box: photographs as the JPEG they came as, drawings as paths. */
import type { Picture } from './blocks.ts';
import type { Pen } from './pen.ts';
import { drawSvg } from './svg-draw.ts';
import { parseSvg, type SvgNode, viewBoxOf } from './svg-parse.ts';

export type Box = Readonly<{ x: number; y: number; width: number; height: number }>;
type Opened = { width: number; height: number };

/** One image object for each photograph of a document, however often it is shown; one tree for each drawing. */
const openedOf = new WeakMap<object, Map<Uint8Array, Opened>>();
const parsed = new WeakMap<object, Map<string, SvgNode>>();

export function openJpeg(pen: Pen, jpeg: Uint8Array): Opened {
  const opened = kept(openedOf, pen);
  let image = opened.get(jpeg);
  if (!image) {
    image = (pen.doc as unknown as { openImage(bytes: Buffer): Opened }).openImage(
      Buffer.from(jpeg.buffer, jpeg.byteOffset, jpeg.byteLength),
    );
    opened.set(jpeg, image);
  }
  return image;
}

function treeOf(pen: Pen, svg: string): SvgNode {
  const trees = kept(parsed, pen);
  const tree = trees.get(svg) ?? parseSvg(svg);
  trees.set(svg, tree);
  return tree;
}

const kept = <K, V>(all: WeakMap<object, Map<K, V>>, pen: Pen): Map<K, V> => {
  const mine = all.get(pen.doc) ?? new Map<K, V>();
  all.set(pen.doc, mine);
  return mine;
};

/** Its size in pt when it takes a width, unless that would make it higher than `mostHeight`. */
export function pictureSize(pen: Pen, picture: Picture, width: number, mostHeight: number): { width: number; height: number } {
  const own = 'jpeg' in picture ? openJpeg(pen, picture.jpeg) : viewBoxOf(treeOf(pen, picture.svg));
  const factor = Math.min(width / own.width, mostHeight / own.height);
  return { width: own.width * factor, height: own.height * factor };
}

/** Only inside `content` or `artifact`. */
export function drawPicture(pen: Pen, picture: Picture, box: Box): void {
  if ('svg' in picture) drawSvg(pen, treeOf(pen, picture.svg), box);
  else
    pen.doc.image(openJpeg(pen, picture.jpeg) as unknown as string, box.x, box.y, {
      width: box.width,
      height: box.height,
      ignoreOrientation: true,
    } as PDFKit.Mixins.ImageOption);
}
