/** Requests, answers and a temporary record for the tests of the record. */
import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { CheckRequest, CompareRequest } from '#shared/job.ts';
import { PHOTO_CHECK_SCHEMA, type PhotoCheck } from '#shared/photo-check.ts';
import { quantity, sampleComparison } from '#tests/report/sample-comparison.ts';

export const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);

export const checkRequest = (sha256: string, name = 'one.jpg'): CheckRequest => ({ kind: 'check', photo: { sha256, name } });

export const compareRequest = (before: string, after: string): CompareRequest => ({
  kind: 'compare',
  title: 'A case',
  before: [{ sha256: before, name: 'b.jpg' }],
  after: [{ sha256: after, name: 'a.jpg' }],
  options: { treatedZones: ['midface-left'] },
});

export const photoCheck = (sha256: string): PhotoCheck => ({
  schema: PHOTO_CHECK_SCHEMA,
  name: 'one.jpg',
  sha256,
  facts: sampleComparison().inputs[0]!.facts,
  uprightPx: { width: 3000, height: 4000 },
  view: 'frontal',
  pose: { yawDeg: quantity(0, 1), pitchDeg: quantity(0, 1), rollDeg: quantity(0, 1) },
  interpupillaryPx: 300,
  mmPerPx: 0.2,
  relU: 0.04,
  scaleSource: 'iris',
  checks: [],
  landmarksPx: [1, 2],
});

/** A directory that goes when the test ends. */
export async function withDir<T>(work: (dir: string) => Promise<T>): Promise<T> {
  const dir = await mkdtemp(join(tmpdir(), 'ebbline-test-'));
  try {
    return await work(dir);
  } finally {
    await rm(dir, { recursive: true, force: true });
  }
}
