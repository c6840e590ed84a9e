import { spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { crc32 } from 'node:zlib';
import { describe, expect, it } from 'vitest';
import { packagedPart } from '#lib/face/canonical-mesh.ts';
import { fieldAt, intsIn, referredBy, rootTable, tablesIn, textIn } from '#lib/face/flatbuffer-reader.ts';
import { LEFT_EYE, LEFT_IRIS, LIPS, RIGHT_EYE, RIGHT_IRIS } from '#lib/face/landmark-refinement.ts';
import { mirroredLandmarks } from '#lib/face/mirror.ts';
import { modelBundle } from '#lib/face/model-bundle.ts';
import { extendModel, modelOutputs } from '#lib/face/model-surgery.ts';
import { refinedIndex } from '#lib/face/refined-index.ts';
import { storedZip } from '#lib/face/stored-zip.ts';

const LENGTHS = [1404, 160, 142, 142, 10, 10];
const sha256 = (data: Uint8Array): string => createHash('sha256').update(data).digest('hex');

/** A zip read by its central directory, as readers do. */
function entriesOf(zip: Uint8Array): { name: string; at: number; data: Uint8Array; crc: number; method: number }[] {
  const view = new DataView(zip.buffer, zip.byteOffset, zip.byteLength);
  const end = zip.length - 22;
  expect(view.getUint32(end, true)).toBe(0x06054b50);
  let at = view.getUint32(end + 16, true);
  return Array.from({ length: view.getUint16(end + 10, true) }, () => {
    expect(view.getUint32(at, true)).toBe(0x02014b50);
    const length = view.getUint16(at + 28, true);
    const name = new TextDecoder().decode(zip.subarray(at + 46, at + 46 + length));
    const local = view.getUint32(at + 42, true);
    expect(view.getUint32(local, true)).toBe(0x04034b50);
    const start = local + 30 + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
    const entry = {
      name,
      at: start,
      data: zip.subarray(start, start + view.getUint32(at + 24, true)),
      crc: view.getUint32(at + 16, true),
      method: view.getUint16(at + 10, true),
    };
    at += 46 + length;
    return entry;
  });
}

describe('law', () => {
  it('gives the same bytes in another process', () => {
    const script = "import { modelBundle } from '#lib/face/model-bundle.ts'; console.log(modelBundle().sha256s.bundle);";
    const run = spawnSync(process.execPath, ['--input-type=module', '--eval', script], { encoding: 'utf8' });
    expect(run.stdout.trim()).toBe(modelBundle().sha256s.bundle);
    expect(sha256(modelBundle().bytes)).toBe(modelBundle().sha256s.bundle);
  });

  it('is a zip of two stored models with right checksums, each aligned and with the packaged model untouched at its end', () => {
    const entries = entriesOf(modelBundle().bytes);
    expect(entries.map((e) => e.name)).toEqual(['face_detector.tflite', 'face_landmarks_detector.tflite']);
    const parts = ['face_detection_short_range.tflite', 'face_landmark_with_attention.tflite'] as const;
    entries.forEach((entry, i) => {
      expect(entry.method).toBe(0);
      expect(entry.at % 16).toBe(0);
      expect(crc32(entry.data)).toBe(entry.crc);
      const original = packagedPart(parts[i]);
      expect(sha256(entry.data.subarray(entry.data.length - original.length))).toBe(sha256(original));
      expect(modelBundle().sha256s[parts[i]]).toBe(sha256(original));
    });
  });

  it('gives the landmark model two outputs, 478 points and the flag, and keeps those of the detector', () => {
    const [detector, landmark] = entriesOf(modelBundle().bytes);
    expect(modelOutputsOf(landmark.data)).toEqual([
      ['refined_points', [1, 1, 1, 1434]],
      ['conv_faceflag', [1, 1, 1, 1]],
    ]);
    expect(modelOutputsOf(detector.data)).toEqual([
      ['regressors', [1, 896, 16]],
      ['classificators', [1, 896, 1]],
    ]);
  });

  it('takes every value of the refined outputs once, and the mesh for all the rest', () => {
    const index = refinedIndex(LENGTHS);
    const used = [...index].filter((i) => i >= 1404).sort((a, b) => a - b);
    expect(used).toEqual(Array.from({ length: 464 }, (_, i) => 1404 + i));
    const refined = new Set([...LIPS, ...LEFT_EYE, ...RIGHT_EYE]);
    for (let p = 0; p < 468; p++) {
      expect(index[3 * p + 2]).toBe(3 * p + 2);
      expect(index[3 * p] === 3 * p && index[3 * p + 1] === 3 * p + 1).toBe(!refined.has(p));
    }
  });

  it('has lists that mirror each other: right is left in the mirror, the lips are their own image', () => {
    const twin = mirroredLandmarks();
    const sorted = (list: readonly number[]) => [...list].sort((a, b) => a - b);
    expect(LEFT_EYE.map((p) => twin[p])).toEqual(RIGHT_EYE);
    expect(sorted(LEFT_IRIS.map((p) => twin[p]))).toEqual(RIGHT_IRIS);
    expect(sorted(LIPS.map((p) => twin[p]))).toEqual(sorted(LIPS));
    expect(twin.every((p, i) => twin[p] === i)).toBe(true);
  });

  it('zips any files, empty ones too', () => {
    const files = [
      { name: 'a', data: new Uint8Array(0) },
      { name: 'long-name.bin', data: Uint8Array.of(1, 2, 3) },
    ];
    expect(entriesOf(storedZip(files)).map(({ name, data }) => ({ name, data: Uint8Array.from(data) }))).toEqual(files);
  });
});

describe('refusal', () => {
  it('throws on a model with other outputs, on a model already treated, and on an unknown tensor', () => {
    expect(() => refinedIndex([1404, 160])).toThrow('install the pinned @mediapipe/face_mesh');
    const [detector] = entriesOf(modelBundle().bytes);
    expect(() => modelOutputs(detector.data)).toThrow('not a plain TFLite model');
    const plain = packagedPart('face_detection_short_range.tflite');
    const addition = { metadata: new Uint8Array(4), tensors: [], operators: [], outputs: ['nothing'] };
    expect(() => extendModel(plain, addition)).toThrow('no tensor named nothing');
    expect(() => packagedPart('absent.tflite')).toThrow('no part named absent.tflite');
  });
});

/** Read here by field number: model 2 subgraphs; subgraph 0 tensors, 2 outputs; tensor 0 shape, 3 name. */
function modelOutputsOf(model: Uint8Array): [string, number[]][] {
  const view = new DataView(model.buffer, model.byteOffset, model.byteLength);
  const [subgraph] = tablesIn(view, referredBy(view, rootTable(view), 2));
  const tensors = tablesIn(view, referredBy(view, subgraph, 0));
  expect(fieldAt(view, rootTable(view), 6)).toBeGreaterThan(0);
  return intsIn(view, referredBy(view, subgraph, 2)).map((i) => [
    textIn(view, referredBy(view, tensors[i], 3)),
    intsIn(view, referredBy(view, tensors[i], 0)),
  ]);
}
