/**
 * The landmark engine, the same in Node and in the browser: given its parts, it finds faces in a raster.
 *
 * Frame   Landmarks are (478, 3) in px of the raster; x right, y down; the centre of the first pixel is (0.5, 0.5); z in px,
 *         smaller is nearer, zero near the middle of the head. 0-467 are the canonical mesh, 468-477 the irises.
 * Model   One independent call per picture, on the CPU: the same pixels give the same bits, whatever came before.
 * Source  `@mediapipe/tasks-vision` 0.10.35 (Apache-2.0). Later versions report usage to a remote host: never raise it.
 */
import type { FaceLandmarker } from '@mediapipe/tasks-vision';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { extent, landmarksInPixels } from './raw-landmarks.ts';
import { textureCanvas } from './texture-canvas.ts';

export type DetectedFace = Readonly<{
  /** (478, 3) px of the raster. */
  landmarks: Float64Array;
}>;

export type FaceEngine = Readonly<{
  /** Every face found, largest first, at most FACES_AT_MOST. Deterministic. Throws on a raster whose size and data disagree. */
  detect: (raster: Srgb8Raster) => DetectedFace[];
}>;

export type EngineParts = Readonly<{
  /** `FaceLandmarker` of the vision bundle. */
  FaceLandmarker: typeof FaceLandmarker;
  /** The default export of the package's loader module. */
  moduleFactory: unknown;
  wasm: Uint8Array;
  /** See model-bundle.ts. */
  bundle: Uint8Array;
}>;

export const ENGINE_VERSION = '@mediapipe/tasks-vision 0.10.35';
/** Enough to say that there are several; more costs time and tells no more. */
const FACES_AT_MOST = 4;
/** The engine's own defaults, written down because they decide what counts as a face. */
const LEAST_CONFIDENCE = 0.5;
/** Lines of the engine's log that an error quotes. */
const LOG_KEPT = 5;

/** Starts an engine. Rejects with an Error that says what failed. */
export async function startLandmarkEngine(parts: EngineParts): Promise<FaceEngine> {
  const log: string[] = [];
  const note = (line: unknown): void => {
    if (log.push(String(line)) > LOG_KEPT) log.shift();
  };
  const landmarker = await withWorkerScope(
    {
      ModuleFactory: parts.moduleFactory,
      Module: { wasmBinary: parts.wasm, print: note, printErr: note },
    },
    () => {
      (globalThis as Record<string, unknown>)['custom_dbg'] = note; // the loader's third way to the console
      return parts.FaceLandmarker.createFromOptions(
        { wasmLoaderPath: '', wasmBinaryPath: '' },
        {
          canvas: textureCanvas(),
          // The engine takes the bytes over, so it gets its own copy.
          baseOptions: { modelAssetBuffer: parts.bundle.slice(), delegate: 'CPU' },
          runningMode: 'IMAGE',
          numFaces: FACES_AT_MOST,
          minFaceDetectionConfidence: LEAST_CONFIDENCE,
          minFacePresenceConfidence: LEAST_CONFIDENCE,
        },
      );
    },
  ).catch((cause: unknown) => {
    throw new Error(`the landmark engine did not start: ${messageOf(cause)}${log.length ? ` (its log ends: ${log.join(' | ')})` : ''}`, {
      cause,
    });
  });

  return {
    detect: (raster) => {
      if (raster.width < 1 || raster.height < 1 || raster.data.length !== 3 * raster.width * raster.height)
        throw new RangeError(
          `a raster of ${raster.width} x ${raster.height} px needs ${3 * raster.width * raster.height} bytes, got ${raster.data.length}`,
        );
      const { faceLandmarks } = landmarker.detect(raster as unknown as ImageData);
      return faceLandmarks
        .map((points) => ({ landmarks: landmarksInPixels(points, raster.width, raster.height) }))
        .sort((a, b) => extent(b.landmarks) - extent(a.landmarks));
    },
  };
}

/** Runs `start` while the engine's loader finds what it looks for on `self`; leaves the scope as it was. */
async function withWorkerScope<T>(names: Readonly<Record<string, unknown>>, start: () => Promise<T>): Promise<T> {
  const scope = globalThis as Record<string, unknown>;
  const hadSelf = 'self' in scope;
  if (!hadSelf) scope['self'] = globalThis;
  Object.assign(scope, names);
  try {
    return await start();
  } finally {
    for (const name of Object.keys(names)) delete scope[name];
    if (!hadSelf) delete scope['self'];
  }
}

const messageOf = (cause: unknown): string => (cause instanceof Error ? cause.message : String(cause));
