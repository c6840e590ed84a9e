/**
 * Reads the SVG text that this program's own makers write: elements, attributes, text; no document type, no outside reference. What
 * is not well formed is a mistake of the maker and throws. Cites XML 1.0 (W3C, 2008) for the five entities and numeric references.
 */

export type SvgNode = Readonly<{
  name: string;
  attributes: Readonly<Record<string, string>>;
  /** Elements and stretches of text, in order. */
  children: readonly (SvgNode | string)[];
}>;

type Open = { name: string; attributes: Record<string, string>; children: (SvgNode | string)[] };

const TOKEN =
  /<!--[\s\S]*?-->|<\?[\s\S]*?\?>|<!\[CDATA\[([\s\S]*?)\]\]>|<\/([\w:.-]+)\s*>|<([\w:.-]+)((?:\s+[\w:.-]+\s*=\s*(?:"[^"]*"|'[^']*'))*)\s*(\/?)>|([^<]+)/g;
const ATTRIBUTE = /([\w:.-]+)\s*=\s*(?:"([^"]*)"|'([^']*)')/g;
const ENTITIES: Readonly<Record<string, string>> = { amp: '&', lt: '<', gt: '>', quot: '"', apos: "'", nbsp: '\u00a0' };

/** The outermost element, an `svg`. */
export function parseSvg(text: string): SvgNode {
  const root: Open = { name: '', attributes: {}, children: [] };
  const stack: Open[] = [root];
  let end = 0;
  for (const match of text.matchAll(TOKEN)) {
    if (match.index !== end) break;
    end = match.index + match[0].length;
    const [, raw, closing, opening, attributes, alone, words] = match;
    const top = stack.at(-1)!;
    if (opening !== undefined) {
      const made: Open = { name: opening, attributes: attributesOf(attributes ?? ''), children: [] };
      top.children.push(made);
      if (alone === '') stack.push(made);
    } else if (closing !== undefined) {
      if (top.name !== closing) throw new SyntaxError(`</${closing}> closes <${top.name}> in a drawing`);
      stack.pop();
    } else if (raw !== undefined) top.children.push(raw);
    else if (words !== undefined) top.children.push(decode(words));
  }
  if (end !== text.length) throw new SyntaxError(`a drawing is not well formed at "${text.slice(end, end + 40)}"`);
  if (stack.length > 1) throw new SyntaxError(`<${stack.at(-1)!.name}> is never closed in a drawing`);
  const svg = root.children.find((child): child is SvgNode => typeof child !== 'string');
  if (svg?.name !== 'svg') throw new SyntaxError('a drawing begins with <svg>');
  return svg;
}

function attributesOf(text: string): Record<string, string> {
  const out: Record<string, string> = {};
  for (const [, name, double, single] of text.matchAll(ATTRIBUTE)) out[name!] = decode(double ?? single ?? '');
  return out;
}

function decode(text: string): string {
  return text.replace(/&(#x[0-9a-f]+|#\d+|\w+);/gi, (whole, name: string) => {
    if (name[0] === '#')
      return String.fromCodePoint(
        Number.parseInt(name.slice(name[1] === 'x' || name[1] === 'X' ? 2 : 1), name[1] === 'x' || name[1] === 'X' ? 16 : 10),
      );
    return ENTITIES[name] ?? whole;
  });
}

/** The part of its own plane that a drawing shows: its viewBox, or from the origin its width and height. */
export function viewBoxOf({ attributes }: SvgNode): { x: number; y: number; width: number; height: number } {
  const numbers = (attributes.viewBox ?? '')
    .trim()
    .split(/[\s,]+/)
    .map(Number);
  const [x, y, width, height] =
    numbers.length === 4 ? numbers : [0, 0, Number.parseFloat(attributes.width ?? ''), Number.parseFloat(attributes.height ?? '')];
  if (![x, y, width, height].every(Number.isFinite) || !(width! > 0) || !(height! > 0))
    throw new SyntaxError('a drawing says neither its viewBox nor its size');
  return { x: x!, y: y!, width: width!, height: height! };
}
