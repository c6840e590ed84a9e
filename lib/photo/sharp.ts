/**
 * The one place that loads the image codec, set to keep nothing: no picture stays in its cache after use.
 */
import sharp from 'sharp';

sharp.cache(false);

export { sharp };
