/** What a comparison is asked and what it answers, beside the Comparison itself. */

import type { ScaleHint } from '#lib/face/types.ts';
import type { ZoneReadings } from '#lib/measure/reading.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { Field } from '#shared/field.ts';
import type { Plate } from '#shared/plates.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';
import type { ZoneId } from '#shared/zones.ts';

/** A photograph as it came: its name (no path) and its bytes. */
export type PhotoSource = Readonly<{ name: string; bytes: Uint8Array }>;

export type CompareOptions = Readonly<{
  /** Default: the irises. */
  scale?: ScaleHint;
  /**
   * Zones treated or complained of. They are tested as a family of their own, are no reference, and make up the pooled test.
   * None named: every zone is tested and the pooled test takes the zones that gel is usually placed in.
   */
  concernZones?: readonly ZoneId[];
  /** From the treatment to the after photographs. */
  daysSinceTreatment?: number;
  /** The repeatability of the user's own set-up; without it the validation's figures stand in. */
  setUp?: SetUpProfile;
  /** False leaves out the plates and the field, which no number depends on; a series needs neither. */
  pictures?: boolean;
  /** Called with what is being done and how much of the whole is done, 0..1. */
  onProgress?: (step: string, done: number) => void;
}>;

export type ComparedPair = Readonly<{
  comparison: Comparison;
  /** One per view, in the order of the Comparison's views; empty when the pair is not comparable or no pictures were asked for. */
  plates: readonly Plate[];
  /** The face's surface with its displacement, and the evidence of each zone; null as plates are empty. */
  field: Field | null;
  /** What was read off the assessable zones, before any finding; empty when the pair is not comparable. */
  readings: ZoneReadings;
}>;
