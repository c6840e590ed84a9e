/**
 * The door by which pictures leave: rasters become PNG, JPEG or WebP bytes.
 *
 * The bytes carry an sRGB profile and nothing else: no time, no camera, no place. Same raster, same bytes.
 */
import { sharp } from './sharp.ts';
import { fitWithin } from './shrink-plan.ts';
import { srgb8FromLinear } from './srgb8.ts';
import type { LinearPhoto, Srgb8Raster } from './types.ts';

/** 8-bit pixels to be shown: grey (1), RGB (3) or RGB with opacity (4); sRGB-coded, opacity not premultiplied. */
export type ShownRaster = Readonly<{
  width: number;
  height: number;
  channels: 1 | 3 | 4;
  /** length channels * width * height */
  data: Uint8Array | Uint8ClampedArray;
}>;

export type Encodable = Srgb8Raster | ShownRaster | Pick<LinearPhoto, 'encoding' | 'width' | 'height' | 'data'>;

export type ImageFormat = 'png' | 'jpeg' | 'webp';

export type EncodeOptions = Readonly<{
  /** 1 to 100, for JPEG and WebP; 90 unless told. Above 90 JPEG keeps its colour at full resolution. */
  quality?: number;
  /** Writes the picture smaller, its longer side at most so many px. Never enlarges. */
  longestPx?: number;
}>;

const USUAL_QUALITY = 90;

/** The picture as a file. Linear light is coded to sRGB first. JPEG has no opacity: what is transparent there turns black. Throws RangeError for a wrong size or quality. */
export async function encodeImage(picture: Encodable, format: ImageFormat, options: EncodeOptions = {}): Promise<Uint8Array> {
  const shown = asShown(picture);
  const quality = options.quality ?? USUAL_QUALITY;
  if (!(quality >= 1 && quality <= 100)) throw new RangeError(`the quality must be 1 to 100, got ${quality}`);
  let pipeline = sharp(shown.data, { raw: { width: shown.width, height: shown.height, channels: shown.channels } });
  if (options.longestPx !== undefined) pipeline = pipeline.resize({ ...fitWithin(shown, options.longestPx), fit: 'fill' });
  pipeline = pipeline.withIccProfile('srgb');
  if (format === 'png') pipeline = pipeline.png({ compressionLevel: 6 });
  else if (format === 'webp') pipeline = pipeline.webp({ quality: Math.round(quality) });
  else pipeline = pipeline.jpeg({ quality: Math.round(quality), chromaSubsampling: quality > USUAL_QUALITY ? '4:4:4' : '4:2:0' });
  return new Uint8Array(await pipeline.toBuffer());
}

/** A smaller picture for an overview, its longer side at most `longestPx`; the same picture when it is small enough already. */
export async function shrinkSrgb8(picture: Srgb8Raster, longestPx: number): Promise<Srgb8Raster> {
  const size = fitWithin(picture, longestPx);
  if (size.width === picture.width && size.height === picture.height) return picture;
  const { data, info } = await sharp(picture.data, { raw: { width: picture.width, height: picture.height, channels: 3 } })
    .resize({ ...size, fit: 'fill' })
    .raw()
    .toBuffer({ resolveWithObject: true });
  return { encoding: 'srgb8', width: info.width, height: info.height, data: new Uint8Array(data) };
}

function asShown(picture: Encodable): ShownRaster {
  if (!('encoding' in picture)) return checked(picture);
  const { width, height, data } = picture.encoding === 'linear-srgb' ? srgb8FromLinear(picture) : picture;
  return checked({ width, height, channels: 3, data });
}

function checked(shown: ShownRaster): ShownRaster {
  const { width, height, channels, data } = shown;
  if (data.length !== width * height * channels || data.length === 0)
    throw new RangeError(`a picture of ${width} x ${height} x ${channels} needs ${width * height * channels} bytes, got ${data.length}`);
  return shown;
}
