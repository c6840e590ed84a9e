/**
 * Text made fit to be set: composed (NFC), without control signs, and with every sign that the typeface lacks, or that runs from
 * right to left, put visibly as U+FFFD, so that nothing is lost in silence. Cites Unicode 16: NFC (UAX 15), controls and formats
 * (general categories Cc, Cf), blocks by their ranges.
 */

/** Shown where a sign could not be printed. */
export const REPLACEMENT = '\ufffd';

/**
 * Latin, Greek, Cyrillic, and signs: U+0020 to U+052F, Latin Extended Additional and Greek Extended, punctuation, currency, letterlike,
 * arrows, mathematics, box and geometric shapes, dingbats. Scripts that need shaping or run from the right are left out even where
 * the typeface has letters of them, since lines are set from the left.
 */
const SET =
  /^[\u0020-\u007e\u00a0-\u052f\u1e00-\u1fff\u2010-\u2027\u202f-\u205e\u2070-\u20bf\u2100-\u218f\u2190-\u22ff\u25a0-\u25ff\u2713\u2715\u2717\ufffd]$/u;
/** Unseen signs that change nothing for a reader here: soft hyphens, joiners, marks of direction, the byte order mark. */
const UNSEEN = /[\u00ad\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff]|\ufe0f/gu;

/** `has` answers whether the typeface draws a code point. A line break or tab becomes a space. */
export function printable(text: string, has: (codePoint: number) => boolean): string {
  const composed = text
    .normalize('NFC')
    .replace(/[\t\n\v\f\r\u0085\u2028\u2029]+/gu, ' ')
    .replace(UNSEEN, '');
  let out = '';
  for (const sign of composed) out += SET.test(sign) && has(sign.codePointAt(0)!) ? sign : REPLACEMENT;
  return out;
}
