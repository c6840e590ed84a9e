/**
 * A canvas that draws nothing, for the landmark engine on the CPU.
 *
 * Model   The engine uploads a picture as a texture, attaches the texture to a framebuffer and reads its pixels back. This
 *         stand-in for a WebGL 2 context keeps the picture and hands it back exactly, so a picture means the same bytes in
 *         Node and in every browser: no graphics driver, premultiplied alpha or colour management in between.
 *         Only what the engine calls is here. Anything else must read as undefined: its loader keeps state on the context.
 */
import type { Srgb8Raster } from '#lib/photo/types.ts';

type Texture = { picture: Srgb8Raster | null };
type Framebuffer = { shows: Texture | null };

/** Numbers of the OpenGL ES 3.0 headers, as far as they are asked for. */
const GL = {
  RENDERER: 0x1f01,
  VERSION: 0x1f02,
  MAX_VERTEX_ATTRIBS: 0x8869,
  SHADING_LANGUAGE_VERSION: 0x8b8c,
  RGBA: 0x1908,
  UNSIGNED_BYTE: 0x1401,
  FRAMEBUFFER_COMPLETE: 0x8cd5,
  ALREADY_SIGNALED: 0x911a,
} as const;

const ANSWERS: Readonly<Record<number, string | number>> = {
  [GL.VERSION]: 'WebGL 2.0',
  [GL.RENDERER]: 'pixels kept, nothing drawn',
  [GL.SHADING_LANGUAGE_VERSION]: 'WebGL GLSL ES 3.00',
  [GL.MAX_VERTEX_ATTRIBS]: 16,
};

/** What the engine takes for a canvas. Its "pictures" are rasters. */
export function textureCanvas(): OffscreenCanvas {
  const context = textureContext();
  const getContext = (kind: string): object | null => (kind === 'webgl2' ? context : null);
  // The second name tells the loader that the choice between WebGL 1 and 2 needs no repair.
  const canvas = { width: 1, height: 1, getContext, getContextSafariWebGL2Fixed: getContext };
  Object.assign(context, { canvas });
  return canvas as unknown as OffscreenCanvas;
}

function textureContext(): object {
  let texture: Texture | null = null;
  let framebuffer: Framebuffer | null = null;
  const nothing = (): void => {};
  return {
    getParameter: (name: number) => ANSWERS[name] ?? null,
    getExtension: () => null,
    getSupportedExtensions: () => [],
    getContextAttributes: () => ({
      alpha: true,
      depth: false,
      stencil: false,
      antialias: false,
      premultipliedAlpha: false,
      preserveDrawingBuffer: true,
    }),
    getError: () => 0,
    activeTexture: nothing,
    texParameteri: nothing,
    pixelStorei: nothing,
    flush: nothing,
    finish: nothing,
    fenceSync: () => ({}),
    clientWaitSync: () => GL.ALREADY_SIGNALED,
    deleteSync: nothing,
    checkFramebufferStatus: () => GL.FRAMEBUFFER_COMPLETE,
    createTexture: (): Texture => ({ picture: null }),
    deleteTexture: (t: Texture | null) => {
      if (t) t.picture = null;
    },
    bindTexture: (_target: number, t: Texture | null) => {
      texture = t;
    },
    texImage2D: (...parameters: unknown[]) => {
      const picture = parameters.at(-1) as Srgb8Raster;
      if (texture && picture?.encoding === 'srgb8') texture.picture = picture;
    },
    createFramebuffer: (): Framebuffer => ({ shows: null }),
    deleteFramebuffer: nothing,
    bindFramebuffer: (_target: number, f: Framebuffer | null) => {
      framebuffer = f;
    },
    framebufferTexture2D: (_target: number, _attachment: number, _kind: number, t: Texture | null) => {
      if (framebuffer) framebuffer.shows = t;
    },
    readPixels: (x: number, y: number, width: number, height: number, format: number, type: number, into: Uint8Array, at = 0) => {
      const picture = framebuffer?.shows?.picture;
      if (
        !picture ||
        x !== 0 ||
        y !== 0 ||
        width !== picture.width ||
        height !== picture.height ||
        format !== GL.RGBA ||
        type !== GL.UNSIGNED_BYTE
      )
        throw new Error(
          'the landmark engine asked for its picture in a form this program does not know; install the pinned @mediapipe/tasks-vision',
        );
      rgbaFromRgb(picture.data, into, at);
    },
  };
}

function rgbaFromRgb(rgb: Uint8Array, into: Uint8Array, at: number): void {
  for (let from = 0, to = at; from < rgb.length; from += 3, to += 4) {
    into[to] = rgb[from];
    into[to + 1] = rgb[from + 1];
    into[to + 2] = rgb[from + 2];
    into[to + 3] = 255;
  }
}
