/**
 * Draws a parsed SVG with the pen: paths, lines, rectangles, circles, text, groups with their transforms, horizontal gradients, clips
 * by rectangle and embedded JPEG. It is the subset that this program's makers and Observable Plot use; an element it has no way to
 * draw throws, so that nothing is left out of a report unnoticed. Letters become those of the report's own typefaces.
 */
import { type Box, openJpeg } from './draw-picture.ts';
import { asSet, type Pen } from './pen.ts';
import { type SvgNode, viewBoxOf } from './svg-parse.ts';
import { FIRST_STYLE, lengthOf, propertiesOf, type SvgStyle, styleOf } from './svg-style.ts';
import { textOf } from './svg-text.ts';
import { transformOf } from './svg-transform.ts';

type Scene = Readonly<{ pen: Pen; ids: ReadonlyMap<string, SvgNode>; jpegs: Map<string, Uint8Array> }>;
/** Said, or kept for reference; not drawn where they stand. */
const UNSEEN = new Set(['title', 'desc', 'defs', 'style', 'metadata', 'clipPath', 'linearGradient', 'marker']);
const jpegsOf = new WeakMap<object, Map<string, Uint8Array>>();

/** Only inside `content` or `artifact`. The drawing is stretched evenly into the box. */
export function drawSvg(pen: Pen, svg: SvgNode, box: Box): void {
  const view = viewBoxOf(svg);
  const ids = new Map<string, SvgNode>();
  collect(svg, ids);
  const jpegs = jpegsOf.get(pen.doc) ?? new Map<string, Uint8Array>();
  jpegsOf.set(pen.doc, jpegs);
  pen.doc.save();
  pen.doc
    .translate(box.x, box.y)
    .scale(box.width / view.width, box.height / view.height)
    .translate(-view.x, -view.y);
  pen.doc.rect(view.x, view.y, view.width, view.height).clip();
  const scene: Scene = { pen, ids, jpegs };
  const style = styleOf(svg, FIRST_STYLE);
  for (const child of svg.children) if (typeof child !== 'string') drawNode(scene, child, style);
  pen.doc.restore();
}

function collect(node: SvgNode, ids: Map<string, SvgNode>): void {
  if (node.attributes.id) ids.set(node.attributes.id, node);
  for (const child of node.children) if (typeof child !== 'string') collect(child, ids);
}

function drawNode(scene: Scene, node: SvgNode, parent: SvgStyle): void {
  if (UNSEEN.has(node.name)) return;
  const { doc } = scene.pen;
  const style = styleOf(node, parent);
  const said = propertiesOf(node);
  if (said.display === 'none' || said.visibility === 'hidden') return;
  doc.save();
  const at = said.transform ? transformOf(said.transform) : null;
  if (at) doc.transform(...at);
  if (said['clip-path']) clipTo(scene, said['clip-path']);
  if (node.name === 'g' || node.name === 'a' || node.name === 'svg') {
    for (const child of node.children) if (typeof child !== 'string') drawNode(scene, child, style);
  } else if (node.name === 'text') drawText(scene, node, style);
  else if (node.name === 'image') drawImage(scene, node);
  else paint(scene, node, style);
  doc.restore();
}

const num = (node: SvgNode, name: string, otherwise = 0): number => lengthOf(node.attributes[name] ?? '', 12, otherwise);

/** Puts the outline of a basic shape on the page. */
function outline({ pen: { doc } }: Scene, node: SvgNode): void {
  switch (node.name) {
    case 'path':
      doc.path(node.attributes.d ?? '');
      return;
    case 'rect': {
      const radius = Math.min(num(node, 'rx', num(node, 'ry')), num(node, 'width') / 2, num(node, 'height') / 2);
      if (radius > 0) doc.roundedRect(num(node, 'x'), num(node, 'y'), num(node, 'width'), num(node, 'height'), radius);
      else doc.rect(num(node, 'x'), num(node, 'y'), num(node, 'width'), num(node, 'height'));
      return;
    }
    case 'circle':
      doc.circle(num(node, 'cx'), num(node, 'cy'), num(node, 'r'));
      return;
    case 'ellipse':
      doc.ellipse(num(node, 'cx'), num(node, 'cy'), num(node, 'rx'), num(node, 'ry'));
      return;
    case 'line':
      doc.moveTo(num(node, 'x1'), num(node, 'y1')).lineTo(num(node, 'x2'), num(node, 'y2'));
      return;
    case 'polyline':
    case 'polygon': {
      const points = (node.attributes.points ?? '')
        .trim()
        .split(/[\s,]+/)
        .map(Number);
      for (let i = 0; i + 1 < points.length; i += 2) {
        if (i === 0) doc.moveTo(points[0]!, points[1]!);
        else doc.lineTo(points[i]!, points[i + 1]!);
      }
      if (node.name === 'polygon') doc.closePath();
      return;
    }
    default:
      throw new RangeError(`printed reports have no way to draw <${node.name}>`);
  }
}

function paint(scene: Scene, node: SvgNode, style: SvgStyle): void {
  const { doc } = scene.pen;
  const fill = node.name === 'line' ? null : style.fill;
  const { stroke } = style;
  if (node.name === 'path' && !node.attributes.d) return;
  if (fill) {
    doc.fillColor(fill.startsWith('url(') ? (gradientOf(scene, fill, node) as unknown as string) : fill);
    doc.fillOpacity(style.opacity * style.fillOpacity);
  }
  if (stroke && style.strokeWidth > 0) {
    doc
      .strokeColor(stroke)
      .strokeOpacity(style.opacity * style.strokeOpacity)
      .lineWidth(style.strokeWidth)
      .lineCap(style.cap)
      .lineJoin(style.join);
    if (style.dashes.some((length) => length > 0)) {
      // pdfkit takes the dashes as a list, whatever its types say.
      doc.dash(style.dashes as unknown as number, { phase: style.dashOffset });
    }
  }
  const rule = style.evenOdd ? 'even-odd' : 'non-zero';
  if (fill) {
    outline(scene, node);
    doc.fill(rule);
  }
  if (stroke && style.strokeWidth > 0) {
    outline(scene, node);
    doc.stroke();
  }
}

/** Gradients run over the box of a rectangle, from x1 to x2 (SVG 2, 14.2.2, objectBoundingBox). */
function gradientOf({ pen: { doc }, ids }: Scene, fill: string, node: SvgNode): PDFKit.PDFLinearGradient {
  const gradient = ids.get(fill.slice(5, -1));
  if (gradient?.name !== 'linearGradient' || node.name !== 'rect')
    throw new RangeError(`${fill} is no gradient of this drawing, or not on a rectangle`);
  const [x, y, width, height] = [num(node, 'x'), num(node, 'y'), num(node, 'width'), num(node, 'height')];
  const share = (name: string, otherwise: number): number => {
    const text = gradient.attributes[name];
    return text === undefined ? otherwise : text.endsWith('%') ? Number.parseFloat(text) / 100 : Number(text);
  };
  const made = doc.linearGradient(
    x + share('x1', 0) * width,
    y + share('y1', 0) * height,
    x + share('x2', 1) * width,
    y + share('y2', 0) * height,
  );
  for (const stop of gradient.children) {
    if (typeof stop === 'string') continue;
    const offset = stop.attributes.offset ?? '0';
    made.stop(offset.endsWith('%') ? Number.parseFloat(offset) / 100 : Number(offset), propertiesOf(stop)['stop-color'] ?? '#000000', 1);
  }
  return made;
}

function clipTo(scene: Scene, reference: string): void {
  const id = /^url\(["']?#([^"')]+)["']?\)$/.exec(reference)?.[1];
  const clip = id ? scene.ids.get(id) : undefined;
  if (!clip) throw new RangeError(`a drawing is clipped by ${reference}, which is not in it`);
  for (const child of clip.children) if (typeof child !== 'string') outline(scene, child);
  scene.pen.doc.clip();
}

function drawImage({ pen, jpegs }: Scene, node: SvgNode): void {
  const href = node.attributes.href ?? node.attributes['xlink:href'] ?? '';
  const head = 'data:image/jpeg;base64,';
  if (!href.startsWith(head)) throw new RangeError('a drawing shows a picture that is not a JPEG within it');
  const bytes = jpegs.get(href) ?? new Uint8Array(Buffer.from(href.slice(head.length), 'base64'));
  jpegs.set(href, bytes);
  pen.doc.image(openJpeg(pen, bytes) as unknown as string, num(node, 'x'), num(node, 'y'), {
    width: num(node, 'width'),
    height: num(node, 'height'),
    ignoreOrientation: true,
  } as PDFKit.Mixins.ImageOption);
}

function drawText({ pen }: Scene, node: SvgNode, style: SvgStyle): void {
  const { doc } = pen;
  for (const piece of textOf(node, style)) {
    if (!piece.style.fill) continue;
    const face = piece.style.bold ? (piece.style.italic ? 'bold-italic' : 'bold') : piece.style.italic ? 'italic' : 'regular';
    const text = asSet(pen, piece.text);
    doc.font(face).fontSize(piece.style.fontSize);
    const width = doc.widthOfString(text);
    const shift = piece.style.anchor === 'end' ? width : piece.style.anchor === 'middle' ? width / 2 : 0;
    doc.fillColor(piece.style.fill).fillOpacity(piece.style.opacity * piece.style.fillOpacity);
    doc.text(text, piece.x - shift, piece.y, { lineBreak: false, baseline: 'alphabetic' });
  }
}
