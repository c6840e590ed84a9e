/**
 * Observations of one Comparison: one for each zone with its finding, one for each metric in it with its error, one for the zones
 * taken together, one for the negative control. None has been verified by a person, so all are `preliminary`.
 *
 * Source  FHIR R4: Observation (section 10.1), BodyStructure (8.16).
 */

import { type Code, findingCode, metricCode, NO_UNIT, OWN, SQUARE_MM, unitCode, zoneCodes } from '#lib/report/exchange/codes.ts';
import { type Finding, METRIC_IDS, type MetricId, type MetricResult, type Quantity, type ZoneResult } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import type { FhirContext } from './context.ts';
import { type Resource, referenceTo, resourceId } from './resource.ts';
import { type Concept, conceptOf, hl7Concept, quantityOf, SYSTEMS } from './systems.ts';

/** The zone's panel first, then its metrics, and the place they are of. */
export type ZoneResources = Readonly<{ panel: Resource; metrics: readonly Resource[]; place: Resource }>;

export function zoneResources(zone: ZoneResult, context: FhirContext): ZoneResources {
  const place = placeOf(zone.zone, context.patient);
  const bodySite = siteOf(zone.zone);
  const metrics = METRIC_IDS.flatMap((id) => {
    const result = zone.metrics[id];
    return result ? [metricObservation(id, result, zone.zone, { ...shared(context), bodySite, focus: [referenceTo(place)] }, context)] : [];
  });
  const panel: Resource = {
    resourceType: 'Observation',
    id: resourceId('Observation', context.sha256, context.patient.id, zone.zone),
    ...shared(context),
    code: { ...conceptOf(OWN.zoneFinding), text: `${OWN.zoneFinding.meaning}: ${zoneCodes(zone.zone).label}` },
    focus: [referenceTo(place)],
    bodySite,
    ...(zone.assessable && zone.finding !== 'not-assessable'
      ? { valueCodeableConcept: conceptOf(findingCode(zone.finding)) }
      : {
          dataAbsentReason: {
            ...hl7Concept('dataAbsentReason', 'not-performed', 'Not Performed'),
            text: zone.whyNot ?? 'Not seen well enough.',
          },
        }),
    note: [{ text: zone.statement }],
    ...(metrics.length > 0 ? { hasMember: metrics.map((metric) => referenceTo(metric)) } : {}),
    component: [
      component(OWN.zoneRole, { valueCodeableConcept: conceptOf(zone.reference ? OWN.reference : OWN.concern) }),
      component(OWN.area, { valueQuantity: quantityOf(zone.areaMm2, SQUARE_MM) }),
      component(OWN.seen, { valueQuantity: quantityOf(zone.seen, NO_UNIT) }),
      component(OWN.trusted, { valueQuantity: quantityOf(zone.trusted, NO_UNIT) }),
    ],
  };
  return { panel, metrics, place };
}

/** Null when no zones were named. */
export function pooledObservation(context: FhirContext): Resource | null {
  const { pooled } = context.comparison;
  if (!pooled) return null;
  return {
    resourceType: 'Observation',
    id: resourceId('Observation', context.sha256, context.patient.id, 'pooled'),
    ...shared(context),
    code: { ...conceptOf(metricCode('volumeMl')), text: `${metricCode('volumeMl').meaning}: ${OWN.pooled.meaning}` },
    focus: pooled.zones.map((zone) => referenceTo(placeOf(zone, context.patient))),
    bodySite: { coding: pooled.zones.flatMap((zone) => conceptOf(zoneCodes(zone).zone).coding), text: OWN.pooled.meaning },
    ...valued('volumeMl', pooled.volumeMl),
    interpretation: interpretationOf('volumeMl', pooled.volumeMl.value, pooled.finding),
    note: [{ text: pooled.statement }],
    component: [
      ...errorComponents(pooled.volumeMl, unitCode('volumeMl')),
      component(OWN.p, { valueQuantity: quantityOf(pooled.p, NO_UNIT) }),
    ],
  };
}

/** Whether the photographs could be compared, and whether what should not change did not. */
export function controlObservation(context: FhirContext): Resource {
  const { gate, control, scale, errorSource } = context.comparison;
  const measured = gate.comparable && context.comparison.zones.length > 0;
  const noted = gate.checks.filter(({ verdict }) => verdict !== 'pass');
  const notes = noted.map(({ message, advice }) => ({ text: `${message} ${advice}`.trim() }));
  return {
    resourceType: 'Observation',
    id: resourceId('Observation', context.sha256, context.patient.id, 'control'),
    ...shared(context),
    code: conceptOf(OWN.comparable),
    bodySite: conceptOf({ scheme: 'SCT', value: '89545001', meaning: 'Face' }),
    valueCodeableConcept: conceptOf(gate.comparable ? OWN.isComparable : OWN.notComparable),
    // FHIR has no empty lists.
    ...(notes.length > 0 ? { note: notes } : {}),
    ...(measured
      ? {
          component: [
            component(OWN.control, { valueCodeableConcept: conceptOf(control.trusted ? OWN.controlHeld : OWN.controlFailed) }),
            component(OWN.errorSource, { valueCodeableConcept: conceptOf(OWN[errorSource]) }),
            ...(scale ? [component(OWN.scale, { valueQuantity: quantityOf(scale.relU, NO_UNIT) })] : []),
          ],
        }
      : {}),
  };
}

/** What is the same in every Observation of a Comparison. */
function shared({ patient, device, media, effective, day }: FhirContext): Record<string, unknown> {
  return {
    status: 'preliminary',
    category: [hl7Concept('observationCategory', 'imaging', 'Imaging')],
    subject: referenceTo(patient),
    ...effective,
    ...(day ? { issued: `${day}T00:00:00Z` } : {}),
    device: referenceTo(device),
    method: conceptOf(OWN.method),
    derivedFrom: media.map((one) => referenceTo(one)),
  };
}

function metricObservation(
  id: MetricId,
  result: MetricResult,
  zone: ZoneId,
  common: Record<string, unknown>,
  context: FhirContext,
): Resource {
  const unit = unitCode(id);
  return {
    resourceType: 'Observation',
    id: resourceId('Observation', context.sha256, context.patient.id, zone, id),
    ...common,
    code: { ...conceptOf(metricCode(id)), text: `${metricCode(id).meaning}: ${zoneCodes(zone).label}` },
    ...valued(id, result),
    interpretation: interpretationOf(id, result.value, result.finding),
    referenceRange: [
      {
        low: quantityOf(quietRange(id, result.sdc)[0], unit),
        high: quantityOf(quietRange(id, result.sdc)[1], unit),
        type: conceptOf(OWN.quietRange),
        text: 'Within this range a change cannot be told from the error of measurement. It is no statement of health.',
      },
    ],
    component: [
      ...errorComponents(result, unit),
      component(OWN.sdc, { valueQuantity: quantityOf(result.sdc, unit) }),
      component(OWN.p, { valueQuantity: quantityOf(result.p, NO_UNIT) }),
      component(OWN.pHolm, { valueQuantity: quantityOf(result.pHolm, NO_UNIT) }),
    ],
  };
}

const valued = (id: MetricId, { value }: Quantity) => ({ valueQuantity: quantityOf(value, unitCode(id)) });

const errorComponents = ({ u, ci95: [low, high] }: Quantity, unit: Code) => [
  component(OWN.uncertainty, { valueQuantity: quantityOf(u, unit) }),
  component(OWN.interval, { valueRange: { low: quantityOf(low, unit), high: quantityOf(high, unit) } }),
];

const component = (code: Code, value: Record<string, unknown>) => ({ code: conceptOf(code), ...value });

/** Differences rest at 0, ratios at 1 with the limit as a factor either way, a colour difference is never negative. */
export function quietRange(id: MetricId, sdc: number): readonly [number, number] {
  if (id.endsWith('Ratio')) return [1 / (1 + sdc), 1 + sdc];
  return [id === 'colourDelta' ? 0 : -sdc, sdc];
}

/** Our own finding, and beside it "significant change up" or "down" where the metric has a direction. */
function interpretationOf(id: MetricId, value: number, finding: Finding): Concept[] {
  const own = conceptOf(findingCode(finding));
  if (finding !== 'beyond-error' || id === 'colourDelta') return [own];
  const up = value > (id.endsWith('Ratio') ? 1 : 0);
  const change = { system: SYSTEMS.interpretation, code: up ? 'U' : 'D', display: `Significant change ${up ? 'up' : 'down'}` };
  return [own, { coding: [change] }];
}

function siteOf(id: ZoneId): Concept {
  const { zone, region, label } = zoneCodes(id);
  return { ...conceptOf(zone, region), text: label };
}

/** The zone of this very subject: the same resource in every report. */
export function placeOf(id: ZoneId, patient: Resource): Resource {
  const { side, label, region, within } = zoneCodes(id);
  return {
    resourceType: 'BodyStructure',
    id: resourceId('BodyStructure', patient.id, id),
    active: true,
    location: siteOf(id),
    ...(side ? { locationQualifier: [conceptOf(side)] } : {}),
    description: within ? `${label}; a part of: ${region.meaning}` : label,
    patient: referenceTo(patient),
  };
}
