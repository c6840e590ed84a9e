/**
 * The door for HEIC: the picture is decoded whole, by a decoder of its own that is let go of afterwards, memory and all.
 *
 * Turns and mirrors that the container asks for are applied by the decoder, so what comes out is upright.
 */
import type { HeifDecoder, HeifHandle, HeifPlane } from 'libheif-js/libheif-wasm/libheif-bundle.mjs';
import { found, type Outcome, refused } from '#shared/outcome.ts';
import { codecRefusal, damaged } from './codec-refusal.ts';
import type { StoredPixels } from './linearise.ts';
import type { Size } from './orientation.ts';
import type { PhotoFault } from './types.ts';

/** A fresh instance for each file: its memory grows with the picture and only goes when the instance goes. */
async function newDecoder(): Promise<HeifDecoder> {
  const { default: make } = await import('libheif-js/libheif-wasm/libheif-bundle.mjs');
  return make({ print: () => {}, printErr: () => {} });
}

/** Upright size, px, without decoding. */
export async function readHeicSize(bytes: Uint8Array, name: string): Promise<Outcome<Size, PhotoFault>> {
  return withPrimary(bytes, name, (decoder, handle) =>
    found({ width: decoder.heif_image_handle_get_width(handle), height: decoder.heif_image_handle_get_height(handle) }),
  );
}

/** The whole picture, upright, in its own colours; 16 bits per value when the file has more than 8. Opacity is left out. */
export async function decodeHeic(bytes: Uint8Array, bitDepth: number, name: string): Promise<Outcome<StoredPixels, PhotoFault>> {
  return withPrimary(bytes, name, (decoder, handle) => {
    const { heif_chroma_interleaved_RGB, heif_chroma_interleaved_RRGGBB_LE } = decoder.heif_chroma;
    const chroma = bitDepth > 8 ? heif_chroma_interleaved_RRGGBB_LE : heif_chroma_interleaved_RGB;
    const picture = decoder.heif_js_decode_image2(handle, decoder.heif_colorspace.heif_colorspace_RGB, chroma);
    if ('code' in picture) return codecRefusal(new Error(picture.message), 'heic', name);
    const plane = picture.channels[0];
    return plane ? found(packed(plane)) : damaged('heic', name);
  });
}

async function withPrimary<T>(
  bytes: Uint8Array,
  name: string,
  use: (decoder: HeifDecoder, handle: HeifHandle) => Outcome<T, PhotoFault>,
): Promise<Outcome<T, PhotoFault>> {
  const decoder = await newDecoder();
  try {
    const context = decoder.heif_context_alloc();
    const read = decoder.heif_context_read_from_memory(context, bytes);
    if (read.code.value !== 0) return codecRefusal(new Error(read.message), 'heic', name);
    const handle = decoder.heif_js_context_get_primary_image_handle(context);
    if ('code' in handle) return codecRefusal(new Error(handle.message), 'heic', name);
    return use(decoder, handle);
  } catch {
    // Whatever it threw came out of foreign code that met bytes it did not expect; the instance is dropped with the call.
    return refused(
      'unreadable',
      `${name} made the HEIC decoder give up: it is damaged or too large for it. Export it as JPEG and use that.`,
    );
  }
}

/** Rows without padding, codes stretched to the full 8 or 16 bits. */
function packed({ data, width, height, stride, bits_per_pixel: bits }: HeifPlane): StoredPixels {
  if (bits <= 8) {
    const rows = new Uint8Array(3 * width * height);
    for (let y = 0; y < height; y++) rows.set(data.subarray(y * stride, y * stride + 3 * width), 3 * width * y);
    return { width, height, channels: 3, data: rows };
  }
  const rows = new Uint16Array(3 * width * height);
  const full = 65535 / (2 ** bits - 1);
  for (let y = 0, o = 0; y < height; y++)
    for (let x = 0, i = y * stride; x < 3 * width; x++, i += 2, o++) rows[o] = Math.round((data[i] | (data[i + 1] << 8)) * full);
  return { width, height, channels: 3, data: rows };
}
