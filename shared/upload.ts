/** The bounds of an upload, the same on the page that checks before it sends and on the route that checks again. */

/** Larger than any still of a hand-held camera; a 100 megapixel JPEG is about 60 MB. */
export const MOST_UPLOAD_BYTES = 120_000_000;
/** File name endings the chooser offers; what a file really is, its content decides. */
export const PHOTO_ENDINGS = '.jpg,.jpeg,.png,.webp,.tif,.tiff,.heic,.heif,.dcm';
/** A name longer than this is cut, its ending kept. */
export const LONGEST_NAME = 200;

/** The last part of whatever path a browser sends, without control characters; "photograph" when nothing is left. */
export function plainName(raw: string): string {
  const base = (raw.split(/[\\/]/).pop() ?? '').replace(/\p{C}/gu, '').trim();
  if (base === '' || base === '.' || base === '..') return 'photograph';
  if (base.length <= LONGEST_NAME) return base;
  const dot = base.lastIndexOf('.');
  const ending = dot > 0 && base.length - dot <= 8 ? base.slice(dot) : '';
  return base.slice(0, LONGEST_NAME - ending.length) + ending;
}
