/**
 * The files that a browser needs to run the landmark engine, written to a folder at set-up and served from there.
 *
 * Our own modules lose their types and import each other by plain names; the engine's parts come from the packages as they are.
 */
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { createRequire, stripTypeScriptTypes } from 'node:module';
import { basename, dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { modelBundle } from '#lib/face/model-bundle.ts';

export type EngineFile = Readonly<{
  /** As served: no folders. */
  name: string;
  type: 'text/javascript' | 'application/wasm' | 'application/octet-stream';
  bytes: () => Uint8Array;
}>;

/** The entry, and every module of ours that it needs. */
const OWN_MODULES = [
  'workers/face-browser.ts',
  'lib/face/landmark-engine.ts',
  'lib/face/landmark-refinement.ts',
  'lib/face/raw-landmarks.ts',
  'lib/face/texture-canvas.ts',
  'lib/face/types.ts',
];

const { resolve } = createRequire(import.meta.url);

const packaged = (name: string, type: EngineFile['type'], path: string): EngineFile => ({
  name,
  type,
  bytes: () => readFileSync(resolve(path)),
});

/** Every file of the browser's engine; `face-browser.js` is the entry. */
export const ENGINE_FILES: readonly EngineFile[] = [
  ...OWN_MODULES.map(
    (path): EngineFile => ({
      name: servedName(path),
      type: 'text/javascript',
      bytes: () => new TextEncoder().encode(plainModule(readFileSync(fileURLToPath(new URL(`../${path}`, import.meta.url)), 'utf8'))),
    }),
  ),
  { name: 'face-models.task', type: 'application/octet-stream', bytes: () => modelBundle().bytes },
  packaged('vision_bundle.mjs', 'text/javascript', join(dirname(resolve('@mediapipe/tasks-vision')), 'vision_bundle.mjs')),
  packaged('vision_wasm_module_internal.js', 'text/javascript', '@mediapipe/tasks-vision/vision_wasm_module_internal.js'),
  packaged('vision_wasm_module_internal.wasm', 'application/wasm', '@mediapipe/tasks-vision/vision_wasm_module_internal.wasm'),
];

/** Writes the files that are missing or different to `folder`, each by way of a temporary name. Returns the names. */
export function writeEngineFiles(folder: string): string[] {
  mkdirSync(folder, { recursive: true });
  return ENGINE_FILES.map((file) => {
    const path = join(folder, file.name);
    const bytes = file.bytes();
    if (!existsSync(path) || !readFileSync(path).equals(bytes)) {
      const unfinished = `${path}.${process.pid}.part`;
      writeFileSync(unfinished, bytes);
      renameSync(unfinished, path);
    }
    return file.name;
  });
}

function servedName(path: string): string {
  return basename(path).replace(/\.ts$/, '.js');
}

/** Types out, imports by served name. An import of anything not served is a mistake in OWN_MODULES. */
function plainModule(source: string): string {
  return withoutTypes(source).replace(/(\bfrom ')([^']+)(')/g, (_, before: string, specifier: string, after: string) => {
    if (specifier === '@mediapipe/tasks-vision') return `${before}./vision_bundle.mjs${after}`;
    const own = OWN_MODULES.find((path) => basename(path) === basename(specifier));
    if (!own) throw new Error(`the browser's engine imports ${specifier}, which engine-files.ts does not serve`);
    return `${before}./${servedName(own)}${after}`;
  });
}

/** Node announces this function as experimental on the terminal. Its version is pinned, so the user need not hear of it. */
function withoutTypes(source: string): string {
  const announce = process.emitWarning;
  process.emitWarning = () => {};
  try {
    return stripTypeScriptTypes(source);
  } finally {
    process.emitWarning = announce;
  }
}
