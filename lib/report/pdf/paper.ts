/** The sheet and its type: A4 upright, lengths in pt (1/72 inch), y down from the top edge. Readable in grey. */

/** ISO 216 A4, 210 x 297 mm. */
export const PAGE = { width: 595.28, height: 841.89 } as const;
/** Of the text; the head and foot lines stand outside it. */
export const MARGIN = { left: 48, right: 48, top: 62, bottom: 56 } as const;
export const TEXT_WIDTH = PAGE.width - MARGIN.left - MARGIN.right;
export const TEXT_HEIGHT = PAGE.height - MARGIN.top - MARGIN.bottom;

/** The page's own colours (app/globals.css), on white. */
export const INK = '#252129';
export const SOFT = '#5c5662';
export const LINE = '#d8d2c7';
export const WASH = '#f4f1ec';
export const WARN_WASH = '#fbf0d6';
export const ACCENT = '#7a2b50';

/** Size, leading (line to line) and space before and after, pt. */
export type TypeStyle = Readonly<{ size: number; leading: number; before: number; after: number; colour: string }>;

export const TYPE = {
  h1: { size: 19, leading: 24, before: 0, after: 5, colour: INK },
  h2: { size: 13, leading: 17, before: 15, after: 5, colour: INK },
  h3: { size: 10.5, leading: 14, before: 10, after: 3, colour: INK },
  body: { size: 9.5, leading: 13, before: 0, after: 5, colour: INK },
  lead: { size: 12, leading: 16.5, before: 2, after: 8, colour: INK },
  small: { size: 8, leading: 11, before: 0, after: 4, colour: SOFT },
  quote: { size: 10, leading: 14.5, before: 3, after: 7, colour: INK },
  note: { size: 9.5, leading: 13, before: 2, after: 6, colour: INK },
  cell: { size: 7.8, leading: 10.4, before: 0, after: 0, colour: INK },
  caption: { size: 8, leading: 10.5, before: 3, after: 0, colour: SOFT },
  running: { size: 8, leading: 10, before: 0, after: 0, colour: SOFT },
} as const satisfies Readonly<Record<string, TypeStyle>>;

/** A style for large print. */
export const scaled = (style: TypeStyle, by: number): TypeStyle =>
  by === 1
    ? style
    : {
        size: style.size * by,
        leading: style.leading * by,
        before: style.before * by,
        after: style.after * by,
        colour: style.colour,
      };
