/**
 * The landmark engine in the browser: the same bundle, the same code and the same answers as in Node.
 *
 * Served as a plain module from a folder that engine-files.ts writes. Two ways in:
 *   new Worker('/engine/face-browser.js', { type: 'module' })   and messages FaceQuestion -> FaceAnswer, or
 *   import('/engine/face-browser.js')                           and openBrowserEngine() on the page.
 * It loads its parts from beside itself, and nothing from anywhere else.
 */
import { FaceLandmarker } from '@mediapipe/tasks-vision';
import { type FaceEngine, startLandmarkEngine } from '#lib/face/landmark-engine.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';

/** `picture` is sRGB pixels, or an upright bitmap of which at most `longestPx` of the longer side are looked at. */
export type FaceQuestion = Readonly<{ id: number; picture: Srgb8Raster | ImageBitmap; longestPx?: number }>;

/** `faces` holds (478, 3) landmarks each, x and y in fractions of the picture's width and height, z of its width; largest first. */
export type FaceAnswer = Readonly<{ id: number; ok: true; faces: Float64Array[] }> | Readonly<{ id: number; ok: false; detail: string }>;

/** Enough for the engine, which looks at 192 px of a face. */
const LONGEST_PX = 720;

let engine: Promise<FaceEngine> | null = null;

/** The engine of this worker or page, started on first use. Rejects with an Error that says what is missing. */
export function openBrowserEngine(): Promise<FaceEngine> {
  engine ??= start().catch((cause: unknown) => {
    engine = null;
    throw cause;
  });
  return engine;
}

async function start(): Promise<FaceEngine> {
  const beside = (name: string): string => new URL(name, import.meta.url).href;
  const [loader, wasm, bundle] = await Promise.all([
    import(beside('vision_wasm_module_internal.js')) as Promise<{ default: unknown }>,
    bytesOf(beside('vision_wasm_module_internal.wasm')),
    bytesOf(beside('face-models.task')),
  ]);
  return startLandmarkEngine({ FaceLandmarker, moduleFactory: loader.default, wasm, bundle });
}

async function bytesOf(url: string): Promise<Uint8Array> {
  const response = await fetch(url);
  if (!response.ok) throw new Error(`the landmark engine's file ${url} cannot be read: ${response.status} ${response.statusText}`);
  return new Uint8Array(await response.arrayBuffer());
}

/** The pixels of a bitmap, its longer side at most `longestPx`, as the browser scales and converts them. */
export function rasterOfBitmap(bitmap: ImageBitmap, longestPx = LONGEST_PX): Srgb8Raster {
  const scale = Math.min(1, longestPx / Math.max(bitmap.width, bitmap.height));
  const width = Math.max(1, Math.round(bitmap.width * scale));
  const height = Math.max(1, Math.round(bitmap.height * scale));
  const context = new OffscreenCanvas(width, height).getContext('2d', { colorSpace: 'srgb', willReadFrequently: true });
  if (!context) throw new Error('this browser offers no canvas to read the photograph from');
  context.imageSmoothingQuality = 'high';
  context.drawImage(bitmap, 0, 0, width, height);
  const rgba = context.getImageData(0, 0, width, height).data;
  const data = new Uint8Array(3 * width * height);
  for (let from = 0, to = 0; to < data.length; from += 4, to += 3) data.set(rgba.subarray(from, from + 3), to);
  return { encoding: 'srgb8', width, height, data };
}

async function answer(question: FaceQuestion): Promise<FaceAnswer> {
  try {
    const { picture, longestPx } = question;
    const raster = 'encoding' in picture ? picture : rasterOfBitmap(picture, longestPx);
    const found = (await openBrowserEngine()).detect(raster);
    return { id: question.id, ok: true, faces: found.map((face) => asFractions(face.landmarks, raster)) };
  } catch (cause) {
    return { id: question.id, ok: false, detail: cause instanceof Error ? cause.message : String(cause) };
  }
}

function asFractions(landmarks: Float64Array, raster: Srgb8Raster): Float64Array {
  const sides = [raster.width, raster.height, raster.width];
  return landmarks.map((value, i) => value / sides[i % 3]);
}

if (typeof WorkerGlobalScope !== 'undefined' && self instanceof WorkerGlobalScope) {
  self.addEventListener('message', (event: MessageEvent<FaceQuestion>) => {
    void answer(event.data).then((reply) => postMessage(reply));
  });
}
