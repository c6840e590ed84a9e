/**
 * One zone as a Measurement Group: where it is, what was found, and every metric with its error.
 * Source  DICOM PS3.16 TID 1501 (measurement group), TID 300 (measurement), TID 310 (its properties), TID 4019 (algorithm).
 */

import { type Code, findingCode, metricCode, NO_UNIT, OWN, SQUARE_MM, unitCode, zoneCodes } from '#lib/report/exchange/codes.ts';
import { derivedUid } from '#lib/report/exchange/derived-id.ts';
import { type Comparison, METRIC_IDS, type MetricId, type MetricResult, type Quantity, type ZoneResult } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import { codeContent, containerContent, type ImageReference, imageContent, numContent, textContent, uidContent } from './content-items.ts';
import { MAKER } from './modules.ts';
import type { DataSet } from './write.ts';

const dcm = (value: string, meaning: string): Code => ({ scheme: 'DCM', value, meaning });
const sct = (value: string, meaning: string): Code => ({ scheme: 'SCT', value, meaning });

const MEASUREMENT_GROUP = dcm('125007', 'Measurement Group');
const TRACKING_IDENTIFIER = dcm('112039', 'Tracking Identifier');
const TRACKING_UID = dcm('112040', 'Tracking Unique Identifier');
const FINDING = dcm('121071', 'Finding');
const COMMENT = dcm('121106', 'Comment');
const ALGORITHM_NAME = dcm('111001', 'Algorithm Name');
const ALGORITHM_VERSION = dcm('111003', 'Algorithm Version');
const FINDING_SITE = sct('363698007', 'Finding Site');
const LATERALITY = sct('272741003', 'Laterality');
const TOPOGRAPHICAL_MODIFIER = sct('106233006', 'Topographical modifier');
const METHOD = sct('370129005', 'Measurement Method');
const SOURCE = sct('260753009', 'Source');
const AREA = sct('42798000', 'Area');
const RANGE_BELOW = sct('371885007', '-, range of lower measurement uncertainty');
const RANGE_ABOVE = sct('371886008', '+, range of upper measurement uncertainty');

export type GroupContext = Readonly<{ subject: string; versions: Comparison['versions']; images: readonly ImageReference[] }>;

export function zoneGroup(zone: ZoneResult, context: GroupContext): DataSet {
  const metrics = METRIC_IDS.flatMap((id) => {
    const result = zone.metrics[id];
    return result ? [metricContent(id, result)] : [];
  });
  return containerContent(
    'CONTAINS',
    MEASUREMENT_GROUP,
    [
      ...trackingOf(zoneCodes(zone.zone).label, zone.zone, context),
      ...algorithmOf(context),
      codeContent('CONTAINS', FINDING, findingCode(zone.finding)),
      codeContent('HAS CONCEPT MOD', METHOD, OWN.method),
      siteOf(zone.zone),
      ...context.images.map((image) => imageContent('CONTAINS', SOURCE, image)),
      ...metrics,
      numContent('CONTAINS', AREA, zone.areaMm2, SQUARE_MM),
      numContent('CONTAINS', OWN.seen, zone.seen, NO_UNIT),
      numContent('CONTAINS', OWN.trusted, zone.trusted, NO_UNIT),
      codeContent('CONTAINS', OWN.zoneRole, zone.reference ? OWN.reference : OWN.concern),
      textContent('CONTAINS', COMMENT, zone.statement),
    ],
    '1501',
  );
}

/** The zones of concern taken together: one volume, its own test. */
export function pooledGroup(pooled: NonNullable<Comparison['pooled']>, context: GroupContext): DataSet {
  return containerContent(
    'CONTAINS',
    MEASUREMENT_GROUP,
    [
      ...trackingOf(OWN.pooled.meaning, ['pooled', ...pooled.zones].join(' '), context),
      ...algorithmOf(context),
      codeContent('CONTAINS', FINDING, findingCode(pooled.finding)),
      codeContent('HAS CONCEPT MOD', METHOD, OWN.method),
      ...pooled.zones.map(siteOf),
      ...context.images.map((image) => imageContent('CONTAINS', SOURCE, image)),
      numContent('CONTAINS', metricCode('volumeMl'), pooled.volumeMl.value, unitCode('volumeMl'), [
        ...quantityProperties(pooled.volumeMl, unitCode('volumeMl')),
        numContent('HAS PROPERTIES', OWN.p, pooled.p, NO_UNIT),
      ]),
      textContent('CONTAINS', COMMENT, pooled.statement),
    ],
    '1501',
  );
}

/** The same zone of the same subject has one identifier in every report, so that a course can be followed. */
const trackingOf = (label: string, what: string, { subject }: GroupContext): DataSet[] => [
  textContent('HAS OBS CONTEXT', TRACKING_IDENTIFIER, label),
  uidContent('HAS OBS CONTEXT', TRACKING_UID, derivedUid('tracking', subject, what)),
];

const algorithmOf = ({ versions }: GroupContext): DataSet[] => [
  textContent('HAS CONCEPT MOD', ALGORITHM_NAME, MAKER),
  textContent('HAS CONCEPT MOD', ALGORITHM_VERSION, versions.ebbline),
];

function siteOf(id: ZoneId): DataSet {
  const { zone, region, side } = zoneCodes(id);
  return codeContent('HAS CONCEPT MOD', FINDING_SITE, region, [
    ...(side ? [codeContent('HAS CONCEPT MOD', LATERALITY, side)] : []),
    codeContent('HAS CONCEPT MOD', TOPOGRAPHICAL_MODIFIER, zone),
  ]);
}

function metricContent(id: MetricId, result: MetricResult): DataSet {
  const unit = unitCode(id);
  return numContent('CONTAINS', metricCode(id), result.value, unit, [
    ...quantityProperties(result, unit),
    numContent('HAS PROPERTIES', OWN.sdc, result.sdc, unit),
    numContent('HAS PROPERTIES', OWN.p, result.p, NO_UNIT),
    numContent('HAS PROPERTIES', OWN.pHolm, result.pHolm, NO_UNIT),
    codeContent('HAS PROPERTIES', OWN.metricFinding, findingCode(result.finding)),
  ]);
}

/** The standard has codes for how far an interval reaches to either side; its bounds and u are said in our own. */
const quantityProperties = ({ value, u, ci95: [low, high] }: Quantity, unit: Code): DataSet[] => [
  numContent('HAS PROPERTIES', RANGE_BELOW, value - low, unit),
  numContent('HAS PROPERTIES', RANGE_ABOVE, high - value, unit),
  numContent('HAS PROPERTIES', OWN.uncertainty, u, unit),
  numContent('HAS PROPERTIES', OWN.low, low, unit),
  numContent('HAS PROPERTIES', OWN.high, high, unit),
];
