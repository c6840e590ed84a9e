/** What all resources of one Comparison share: subject, device, photographs, days. */
import { createHash } from 'node:crypto';
import { readJpegFrame } from '#lib/report/dicom/jpeg-frame.ts';
import { FACE, viewCode } from '#lib/report/exchange/codes.ts';
import { derivedUid, sha256Hex } from '#lib/report/exchange/derived-id.ts';
import {
  comparisonSha256,
  type ExchangeFacts,
  type ExchangePhotograph,
  momentOf,
  orderedInputs,
  reportDay,
  subjectOf,
  visitMoment,
} from '#lib/report/exchange/facts.ts';
import type { Comparison } from '#shared/comparison.ts';
import { type Resource, referenceTo, resourceId } from './resource.ts';
import { conceptOf, hl7Concept, SYSTEMS } from './systems.ts';

export type FhirOptions = Readonly<{
  /** Upright sRGB JPEGs; with them Media has size and hash. */
  photographs?: readonly ExchangePhotograph[];
  /** Puts the pictures themselves into the bundle. Only when asked. */
  embedPhotographs?: boolean;
}>;

export type FhirContext = Readonly<{
  comparison: Comparison;
  /** SHA-256 of the Comparison, which every derived identifier rests on. */
  sha256: string;
  patient: Resource;
  device: Resource;
  media: readonly Resource[];
  day: string | null;
  /** The time between the visits as far as it is known. */
  effective: Readonly<Record<string, unknown>>;
}>;

export function fhirContext(comparison: Comparison, facts: ExchangeFacts, options: FhirOptions): FhirContext {
  const patient = patientOf(subjectOf(comparison, facts));
  const [before, after] = (['before', 'after'] as const).map((role) => visitMoment(comparison, role, facts)?.day);
  return {
    comparison,
    sha256: comparisonSha256(comparison),
    patient,
    device: deviceOf(comparison.versions),
    media: orderedInputs(comparison).map((input) => mediaOf(input, patient, facts, options)),
    day: reportDay(comparison, facts),
    effective:
      before && after && before <= after ? { effectivePeriod: { start: before, end: after } } : after ? { effectiveDateTime: after } : {},
  };
}

/** Known by a code alone; marked as such. */
function patientOf(subject: string): Resource {
  return {
    resourceType: 'Patient',
    id: resourceId('Patient', subject),
    meta: { security: [{ system: SYSTEMS.securityValue, code: 'PSEUDED', display: 'pseudonymized' }] },
    identifier: [{ use: 'secondary', system: `urn:oid:${derivedUid('subject-codes')}`, value: subject }],
  };
}

/** The program, with the versions and hashes that decide its numbers. */
function deviceOf({ ebbline, landmarkEngine, models }: Comparison['versions']): Resource {
  const version = (text: string, value: string) => ({ type: { text }, value });
  return {
    resourceType: 'Device',
    id: resourceId('Device', ebbline, landmarkEngine, ...Object.entries(models).flat()),
    status: 'active',
    manufacturer: 'Ebbline',
    deviceName: [{ name: 'Ebbline', type: 'user-friendly-name' }],
    type: { text: 'Software that compares photographs of a face' },
    version: [
      version('software', ebbline),
      version('landmark engine', landmarkEngine),
      ...Object.entries(models).map(([name, sha256]) => version(`model ${name}, SHA-256`, sha256)),
    ],
  };
}

const MIME: Readonly<Record<Comparison['inputs'][number]['facts']['format'], string>> = {
  jpeg: 'image/jpeg',
  png: 'image/png',
  webp: 'image/webp',
  tiff: 'image/tiff',
  heic: 'image/heic',
  dicom: 'application/dicom',
};

/** File names may hold a person's name, so they stay behind; the original is known by its hash. */
function mediaOf(
  input: Comparison['inputs'][number],
  patient: Resource,
  facts: ExchangeFacts,
  { photographs = [], embedPhotographs = false }: FhirOptions,
): Resource {
  const jpeg = photographs.find(({ role, view }) => role === input.role && view === input.view)?.jpeg;
  const frame = jpeg && readJpegFrame(jpeg);
  const day = momentOf(input, facts)?.day;
  const size = frame ?? { width: input.facts.widthPx, height: input.facts.heightPx };
  return {
    resourceType: 'Media',
    id: resourceId('Media', patient.id, input.sha256, jpeg ? sha256Hex(jpeg) : '', String(jpeg && embedPhotographs), input.view, day ?? ''),
    identifier: [{ system: SYSTEMS.uri, value: namedBySha256(input.sha256) }],
    status: 'completed',
    type: hl7Concept('mediaType', 'image', 'Image'),
    modality: conceptOf({ scheme: 'DCM', value: 'XC', meaning: 'External-camera Photography' }),
    view: conceptOf(viewCode(input.view)),
    subject: referenceTo(patient),
    ...(day ? { createdDateTime: day } : {}),
    bodySite: conceptOf(FACE),
    ...(input.facts.camera ? { deviceName: input.facts.camera } : {}),
    height: size.height,
    width: size.width,
    content: {
      contentType: jpeg ? 'image/jpeg' : MIME[input.facts.format],
      ...(jpeg && embedPhotographs ? { data: Buffer.from(jpeg).toString('base64') } : {}),
      // R4 asks for SHA-1 here; it tells copies apart and protects nothing.
      ...(jpeg ? { size: jpeg.length, hash: createHash('sha1').update(jpeg).digest('base64') } : {}),
      title: `${viewCode(input.view).meaning}, ${input.role}`,
    },
  };
}

/** The original file's name by its content: RFC 6920 section 3. */
export const namedBySha256 = (hex: string): string => `ni:///sha-256;${Buffer.from(hex, 'hex').toString('base64url')}`;
