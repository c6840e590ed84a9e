/**
 * What registration looks at: skin texture, with light and contrast taken out.
 *
 * Model   log luminance, band-passed between pore and fold, over its own local root mean square. Exposure becomes an
 *         offset and vanishes in the band; a change of contrast or of sharpness vanishes in the quotient. The shading of
 *         a lost millilitre varies over 10 mm and more, far below the band, so the flow can't swallow it.
 */
import { bandPass, gaussianBlur, type Raster } from '#lib/photo/raster.ts';

/** Under this linear luminance the logarithm would show sensor noise as texture. */
const DARK = 0.004;
/** A band this weak (natural log units) is noise; the quotient goes to zero there instead of blowing it up. */
const QUIET = 0.004;

/** Features of a luminance raster at one scale: band between `finePx` and `coarsePx`, evened over `evenPx`. */
export function textureFeatures(luminance: Raster, finePx: number, coarsePx: number, evenPx: number): Raster {
  const logs = new Float32Array(luminance.data.length);
  for (let i = 0; i < logs.length; i++) logs[i] = Math.log(luminance.data[i] + DARK);
  const band = bandPass({ ...luminance, channels: 1, data: logs }, finePx, coarsePx);
  const squares = new Float32Array(logs.length);
  for (let i = 0; i < logs.length; i++) squares[i] = band.data[i] * band.data[i];
  const power = gaussianBlur({ ...band, data: squares }, evenPx);
  const data = new Float32Array(logs.length);
  for (let i = 0; i < logs.length; i++) data[i] = band.data[i] / Math.sqrt(Math.max(0, power.data[i]) + QUIET * QUIET);
  return { ...band, data };
}
