/** The part of the HEIC decoder that `heic.ts` uses; the package ships no types for this entry. */
declare module 'libheif-js/libheif-wasm/libheif-bundle.mjs' {
  type Opaque<Name extends string> = { readonly [kind in Name]: true };
  export type HeifContext = Opaque<'context'>;
  export type HeifHandle = Opaque<'handle'>;
  export type HeifFault = Readonly<{ code: { value: number }; message: string }>;
  export type HeifPlane = Readonly<{ data: Uint8Array; width: number; height: number; stride: number; bits_per_pixel: number }>;
  export type HeifPicture = Readonly<{ channels: readonly HeifPlane[] }>;

  export type HeifDecoder = Readonly<{
    heif_chroma: Readonly<Record<'heif_chroma_interleaved_RGB' | 'heif_chroma_interleaved_RRGGBB_LE', object>>;
    heif_colorspace: Readonly<Record<'heif_colorspace_RGB', object>>;
    heif_context_alloc: () => HeifContext;
    heif_context_read_from_memory: (context: HeifContext, bytes: Uint8Array) => HeifFault;
    heif_js_context_get_primary_image_handle: (context: HeifContext) => HeifHandle | HeifFault;
    heif_image_handle_get_width: (handle: HeifHandle) => number;
    heif_image_handle_get_height: (handle: HeifHandle) => number;
    heif_js_decode_image2: (handle: HeifHandle, colourSpace: object, chroma: object) => HeifPicture | HeifFault;
  }>;

  export default function make(options: { print: (line: string) => void; printErr: (line: string) => void }): HeifDecoder;
}
