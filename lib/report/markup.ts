/** Text made safe for HTML and SVG, and the joining of pieces. All words of files and users go through `escapeText`. */

/** Safe between tags and inside double or single quotes. */
export function escapeText(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;').replaceAll("'", '&#39;');
}

/** A coordinate: at most two decimals, never "-0". */
export const coordinate = (value: number): string => String(Math.round(value * 100) / 100 || 0);

/** `data:image/jpeg;base64,...` */
export function dataUri(type: 'image/jpeg' | 'image/png', bytes: Uint8Array): string {
  return `data:${type};base64,${Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength).toString('base64')}`;
}
