/**
 * The names of the code systems and extensions that FHIR resources use. They are names in the form of addresses: nothing here
 * visits them, and a test holds that no other file of this kind names one.
 *
 * Source  FHIR R4 (4.0.1), sections 4.3.0.1 (code systems) and 2.26.3 (URIs); HL7 terminology.
 */
import type { Code } from '#lib/report/exchange/codes.ts';
import { OWN_SCHEME_UID } from '#lib/report/exchange/codes.ts';

export const SYSTEMS = {
  SCT: 'http://snomed.info/sct',
  DCM: 'http://dicom.nema.org/resources/ontology/DCM',
  UCUM: 'http://unitsofmeasure.org',
  '99EBBLINE': `urn:oid:${OWN_SCHEME_UID}`,
  observationCategory: 'http://terminology.hl7.org/CodeSystem/observation-category',
  interpretation: 'http://terminology.hl7.org/CodeSystem/v3-ObservationInterpretation',
  dataAbsentReason: 'http://terminology.hl7.org/CodeSystem/data-absent-reason',
  mediaType: 'http://terminology.hl7.org/CodeSystem/media-type',
  participantType: 'http://terminology.hl7.org/CodeSystem/provenance-participant-type',
  diagnosticService: 'http://terminology.hl7.org/CodeSystem/v2-0074',
  securityValue: 'http://terminology.hl7.org/CodeSystem/v3-ObservationValue',
  uri: 'urn:ietf:rfc:3986',
} as const;

export const DATA_ABSENT_EXTENSION = 'http://hl7.org/fhir/StructureDefinition/data-absent-reason';
export const XHTML = 'http://www.w3.org/1999/xhtml';

export type Coding = Readonly<{ system: string; code: string; display: string }>;
export type Concept = Readonly<{ coding: readonly Coding[]; text?: string }>;

export const codingOf = ({ scheme, value, meaning }: Code): Coding => {
  if (!(scheme in SYSTEMS)) throw new RangeError(`FHIR has no name here for the scheme ${scheme}`);
  return { system: SYSTEMS[scheme as keyof typeof SYSTEMS], code: value, display: meaning };
};

export const conceptOf = (...codes: readonly Code[]): Concept => ({ coding: codes.map(codingOf) });

/** A concept of one of HL7's own systems. */
export const hl7Concept = (system: keyof typeof SYSTEMS, code: string, display: string): Concept => ({
  coding: [{ system: SYSTEMS[system], code, display }],
});

/** A number with a unit of UCUM; a unit that is a mere annotation is also said in words. */
export const quantityOf = (value: number, { value: code }: Code) => ({
  value,
  unit: code.replace(/^\{(.*)\}$/, '$1'),
  system: SYSTEMS.UCUM,
  code,
});
