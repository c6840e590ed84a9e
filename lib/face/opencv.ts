/**
 * The door to OpenCV: loads it when it is first wanted, once per thread, which takes about half a second.
 * Source: OpenCV 5 as WebAssembly, `@techstark/opencv-js` 5.0.0-release.1 (Apache-2.0). Nothing is fetched: the binary is inside the script.
 */
import { createRequire } from 'node:module';

/** What we use of OpenCV. Its own types leave the marker classes out. */
export type Cv = {
  Mat: new (...size: number[]) => CvMat;
  MatVector: new () => { size: () => number; get: (i: number) => CvMat; delete: () => void };
  CV_8UC1: number;
  DICT_4X4_50: number;
  getPredefinedDictionary: (id: number) => { delete: () => void };
  aruco_DetectorParameters: new () => { cornerRefinementMethod: number; delete: () => void };
  aruco_RefineParameters: new (repDistance: number, errorCorrection: number, allOrders: boolean) => { delete: () => void };
  aruco_ArucoDetector: new (
    ...parts: unknown[]
  ) => { detectMarkers: (image: CvMat, corners: unknown, ids: CvMat, rejected: unknown) => void; delete: () => void };
  onRuntimeInitialized?: () => void;
};
export type CvMat = { rows: number; data: Uint8Array; data32F: Float32Array; delete: () => void };

let loading: Promise<Cv> | null = null;

/** Rejects with an Error that says what failed. */
export function openCv(): Promise<Cv> {
  loading ??= load().catch((cause: unknown) => {
    loading = null; // the next call tries again
    throw new Error(`OpenCV cannot be loaded: ${cause instanceof Error ? cause.message : String(cause)}. Run npm install.`, { cause });
  });
  return loading;
}

async function load(): Promise<Cv> {
  // The package's export is a promise of the module in this build; an import() would take it for a module that waits for itself.
  const cv = await (createRequire(import.meta.url)('@techstark/opencv-js') as Cv | Promise<Cv>);
  if (!cv.Mat)
    await new Promise<void>((ready) => {
      cv.onRuntimeInitialized = ready;
    });
  return cv;
}
