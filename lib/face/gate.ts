/**
 * The quality gate: `checkFace` for one photograph, `judgePair` for two. `registration` is judged later, by lib/align.
 */

export { judgePair } from './gate-pair.ts';
export { checkFace } from './gate-photo.ts';
