/**
 * The model bundle of the landmark engine, built from the parts of the model package.
 *
 * Model   The landmark model ends in seven tensors: mesh (468 x, y, z), lips, two eyes, two irises (x, y each) and the face
 *         flag. The engine reads 478 x 3 values from the first output and the flag from the second, so a CONCATENATION and
 *         a GATHER with a constant index put the refined points where landmark-refinement.ts says. A gather cannot average:
 *         the depth of the irises is a stand-in here and set in landmark-engine.ts.
 * Source  Weights: `@mediapipe/face_mesh` 0.4.1657299874 (Apache-2.0). Input scaling: the public graph definitions of the
 *         face detector (range -1..1) and the landmark model (range 0..1). This file is a door: it reads the package.
 */
import { createHash } from 'node:crypto';
import { packagedPart } from './canonical-mesh.ts';
import { inputMetadata } from './model-metadata.ts';
import { extendModel, modelOutputs } from './model-surgery.ts';
import { refinedIndex } from './refined-index.ts';
import { storedZip } from './stored-zip.ts';

export type ModelBundle = Readonly<{
  /** A zip, as the engine wants it. */
  bytes: Uint8Array;
  /** SHA-256 (hex) of the two packaged models as they are, and of the bundle. */
  sha256s: Readonly<Record<'face_landmark_with_attention.tflite' | 'face_detection_short_range.tflite' | 'bundle', string>>;
}>;

const LANDMARK_MODEL = 'face_landmark_with_attention.tflite';
const DETECTOR_MODEL = 'face_detection_short_range.tflite';
const DETECTOR_SCALING = { mean: 127.5, std: 127.5 };
const LANDMARK_SCALING = { mean: 0, std: 255 };
const FLAG = 'conv_faceflag';

/** Schema numbers: [BuiltinOperator, BuiltinOptions]. */
const CONCATENATION = { operator: 2, options: 10 } as const;
const GATHER = { operator: 36, options: 23 } as const;

let built: ModelBundle | null = null;

/** The bundle; built once per thread, the same bytes every time. Throws when the model package is not the pinned one. */
export function modelBundle(): ModelBundle {
  built ??= build();
  return built;
}

function build(): ModelBundle {
  const landmark = packagedPart(LANDMARK_MODEL);
  const detector = packagedPart(DETECTOR_MODEL);
  const bytes = storedZip([
    { name: 'face_detector.tflite', data: withInput(detector) },
    { name: 'face_landmarks_detector.tflite', data: withRefinedOutput(landmark) },
  ]);
  return { bytes, sha256s: { [LANDMARK_MODEL]: sha256(landmark), [DETECTOR_MODEL]: sha256(detector), bundle: sha256(bytes) } };
}

function withInput(detector: Uint8Array): Uint8Array {
  const outputs = modelOutputs(detector).map((o) => o.name);
  return extendModel(detector, {
    metadata: inputMetadata('face detector', DETECTOR_SCALING, outputs),
    tensors: [],
    operators: [],
    outputs: null,
  });
}

function withRefinedOutput(landmark: Uint8Array): Uint8Array {
  const parts = modelOutputs(landmark).filter((o) => o.name !== FLAG);
  const lengths = parts.map((o) => o.shape.reduce((a, b) => a * b, 1));
  const index = refinedIndex(lengths);
  const shape = (length: number): number[] => [1, 1, 1, length];
  return extendModel(landmark, {
    metadata: inputMetadata('face landmarks', LANDMARK_SCALING, ['landmarks', 'face flag']),
    tensors: [
      { name: 'all_points', type: 'float32', shape: shape(lengths.reduce((a, b) => a + b, 0)), constant: null },
      { name: 'refined_index', type: 'int32', shape: [index.length], constant: littleEndian(index) },
      { name: 'refined_points', type: 'float32', shape: shape(index.length), constant: null },
    ],
    operators: [
      { ...CONCATENATION, optionFields: { 0: { int: 3 } }, inputs: parts.map((o) => o.name), outputs: ['all_points'] },
      { ...GATHER, optionFields: { 0: { int: 3 } }, inputs: ['all_points', 'refined_index'], outputs: ['refined_points'] },
    ],
    outputs: ['refined_points', FLAG],
  });
}

function littleEndian(values: Int32Array): Uint8Array {
  const out = new DataView(new ArrayBuffer(4 * values.length));
  values.forEach((v, i) => out.setInt32(4 * i, v, true));
  return new Uint8Array(out.buffer);
}

const sha256 = (bytes: Uint8Array): string => createHash('sha256').update(bytes).digest('hex');
