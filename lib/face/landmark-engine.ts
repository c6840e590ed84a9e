/**
 * The landmark engine, the same in Node and in the browser: given its parts, it finds faces in a raster.
 *
 * Frame   Landmarks are (478, 3) in px of the raster; x right, y down; the centre of the first pixel is (0.5, 0.5); z in px,
 *         smaller is nearer, zero near the middle of the head. 0-467 are the canonical mesh, 468-477 the irises.
 * Model   One independent call per picture, on the CPU: the same pixels give the same bits, whatever came before.
 * Source  `@mediapipe/tasks-vision` 0.10.35 (Apache-2.0). Later versions report usage to a remote host: never raise it.
 */
import type { FaceLandmarker, NormalizedLandmark } from '@mediapipe/tasks-vision';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { LEFT_IRIS, LEFT_IRIS_DEPTH_FROM, RIGHT_IRIS, RIGHT_IRIS_DEPTH_FROM } from './landmark-refinement.ts';
import { textureCanvas } from './texture-canvas.ts';
import { LANDMARK_COUNT } from './types.ts';

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
  const note = (line: unknown): void => { if (log.push(String(line)) > LOG_KEPT) log.shift(); };
  const landmarker = await withWorkerScope({
    ModuleFactory: parts.moduleFactory,
    Module: { wasmBinary: parts.wasm, print: note, printErr: note },
  }, () => {
    (globalThis as Record<string, unknown>)['custom_dbg'] = note; // the loader's third way to the console
    return parts.FaceLandmarker.createFromOptions({ wasmLoaderPath: '', wasmBinaryPath: '' }, {
      canvas: textureCanvas(),
      // The engine takes the bytes over, so it gets its own copy.
      baseOptions: { modelAssetBuffer: parts.bundle.slice(), delegate: 'CPU' },
      runningMode: 'IMAGE',
      numFaces: FACES_AT_MOST,
      minFaceDetectionConfidence: LEAST_CONFIDENCE,
      minFacePresenceConfidence: LEAST_CONFIDENCE,
    });
  }).catch((cause: unknown) => {
    throw new Error(`the landmark engine did not start: ${messageOf(cause)}${log.length ? ` (its log ends: ${log.join(' | ')})` : ''}`, { cause });
  });

  return {
    detect: raster => {
      if (raster.width < 1 || raster.height < 1 || raster.data.length !== 3 * raster.width * raster.height)
        throw new RangeError(`a raster of ${raster.width} x ${raster.height} px needs ${3 * raster.width * raster.height} bytes, got ${raster.data.length}`);
      const { faceLandmarks } = landmarker.detect(raster as unknown as ImageData);
      return faceLandmarks
        .map(points => ({ landmarks: inPixels(points, raster.width, raster.height) }))
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

/** Fractions of the picture become px; z is in units of the width. The irises get the mean depth of their eye's contour. */
function inPixels(points: readonly NormalizedLandmark[], width: number, height: number): Float64Array {
  if (points.length !== LANDMARK_COUNT) throw new Error(`the landmark engine gave ${points.length} points, expected ${LANDMARK_COUNT}`);
  const out = new Float64Array(3 * LANDMARK_COUNT);
  points.forEach((p, i) => {
    out[3 * i] = p.x * width;
    out[3 * i + 1] = p.y * height;
    out[3 * i + 2] = p.z * width;
  });
  levelIris(out, LEFT_IRIS, LEFT_IRIS_DEPTH_FROM);
  levelIris(out, RIGHT_IRIS, RIGHT_IRIS_DEPTH_FROM);
  return out;
}

function levelIris(landmarks: Float64Array, iris: readonly number[], contour: readonly number[]): void {
  let sum = 0;
  for (const i of contour) sum += landmarks[3 * i + 2]!;
  for (const i of iris) landmarks[3 * i + 2] = sum / contour.length;
}

/** Width plus height of the box round the landmarks, px. */
function extent(landmarks: Float64Array): number {
  let left = Infinity, right = -Infinity, top = Infinity, bottom = -Infinity;
  for (let i = 0; i < landmarks.length; i += 3) {
    left = Math.min(left, landmarks[i]!);
    right = Math.max(right, landmarks[i]!);
    top = Math.min(top, landmarks[i + 1]!);
    bottom = Math.max(bottom, landmarks[i + 1]!);
  }
  return right - left + bottom - top;
}

const messageOf = (cause: unknown): string => (cause instanceof Error ? cause.message : String(cause));
