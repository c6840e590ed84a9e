/**
 * The door to the landmark engine in Node: reads its parts from the packages and keeps one engine per thread.
 * Everything comes from disk; nothing is fetched.
 */
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import { type DetectedFace, ENGINE_VERSION, type EngineParts, type FaceEngine, startLandmarkEngine } from './landmark-engine.ts';
import { modelBundle } from './model-bundle.ts';

export type { DetectedFace, FaceEngine };
export { ENGINE_VERSION };

const PACKAGE = '@mediapipe/tasks-vision';
const LOADER = `${PACKAGE}/vision_wasm_module_internal.js`;
const WASM = `${PACKAGE}/vision_wasm_module_internal.wasm`;

const { resolve } = createRequire(import.meta.url);

let engine: Promise<FaceEngine> | null = null;

/** The thread's landmark engine, started on first use. Rejects with an Error that says which part is missing or failed. */
export function openEngine(): Promise<FaceEngine> {
  engine ??= engineParts()
    .then(startLandmarkEngine)
    .catch((cause: unknown) => {
      engine = null; // the next call tries again
      throw cause;
    });
  return engine;
}

/** SHA-256 (hex) of each model the engine uses, by name. */
export const engineModels = (): Readonly<Record<string, string>> => modelBundle().sha256s;

async function engineParts(): Promise<EngineParts> {
  try {
    const [vision, loader, wasm] = await Promise.all([
      import(PACKAGE) as Promise<{ FaceLandmarker: EngineParts['FaceLandmarker'] }>,
      import(pathToFileURL(resolve(LOADER)).href) as Promise<{ default: unknown }>,
      readFile(resolve(WASM)),
    ]);
    return { FaceLandmarker: vision.FaceLandmarker, moduleFactory: loader.default, wasm, bundle: modelBundle().bytes };
  } catch (cause) {
    throw new Error(
      `the landmark engine's files cannot be read: ${cause instanceof Error ? cause.message : String(cause)}. Run npm install.`,
      { cause },
    );
  }
}
