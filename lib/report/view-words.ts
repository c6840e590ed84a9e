/** Views of a face in a reader's words. */
import type { View } from '#shared/comparison.ts';

const VIEW_WORDS: Readonly<Record<View, string>> = {
  frontal: 'From the front',
  'oblique-left': 'Oblique, left cheek',
  'oblique-right': 'Oblique, right cheek',
  'lateral-left': 'From the left',
  'lateral-right': 'From the right',
};
export const viewWords = (view: View): string => VIEW_WORDS[view];
