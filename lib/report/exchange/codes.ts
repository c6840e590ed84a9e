/**
 * The codes by which measurements leave the program. What a public scheme has a code for is coded by it; the rest is coded in a
 * scheme of our own, `99EBBLINE`, whose codes are listed here and in `docs/exchange.md`.
 *
 * Source  SNOMED CT and DICOM codes as printed in DICOM PS3.16 (CID 4029 Dermatology Anatomic Sites, CID 244 Laterality, CID 225
 *         Measurement Uncertainty Concepts, annex D); UCUM 2.1 for units, whose braces hold what is no unit.
 */
import { FINDINGS, type Finding, METRIC_IDS, METRICS, type MetricId, VIEWS, type View } from '#shared/comparison.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import { derivedUid } from './derived-id.ts';

export type Code = Readonly<{ scheme: 'SCT' | 'DCM' | 'UCUM' | 'UMLS' | 'RFC5646' | '99EBBLINE'; value: string; meaning: string }>;

export const OWN_SCHEME = '99EBBLINE';
export const OWN_SCHEME_NAME = 'Ebbline measurement codes';
/** Names the scheme wherever a designator is not enough. */
export const OWN_SCHEME_UID = derivedUid('coding-scheme');

const sct = (value: string, meaning: string): Code => ({ scheme: 'SCT', value, meaning });
const own = (value: string, meaning: string): Code => ({ scheme: OWN_SCHEME, value, meaning });

export const FACE = sct('89545001', 'Face');
export const LEFT = sct('7771000', 'Left');
export const RIGHT = sct('24028007', 'Right');

const CHEEK = sct('36141000', 'Skin of cheek');
const SKIN_OF_FACE = sct('73897004', 'Skin of face');
const LIP = sct('48477009', 'Lip');

type Stem = ZoneId extends infer Z ? (Z extends `${infer S}-left` ? S : Z extends `${string}-right` ? never : Z) : never;

/** The region that SNOMED CT has a code for and that the zone is, or lies in (`within`). */
const REGIONS: Readonly<Record<Stem, Readonly<{ region: Code; within: boolean }>>> = {
  forehead: { region: sct('68698007', 'Skin of forehead'), within: false },
  glabella: { region: SKIN_OF_FACE, within: true },
  temple: { region: sct('16621002', 'Skin of temporal region'), within: false },
  infraorbital: { region: SKIN_OF_FACE, within: true },
  midface: { region: CHEEK, within: true },
  submalar: { region: CHEEK, within: true },
  'nasal-dorsum': { region: sct('113179006', 'Skin of nose'), within: true },
  'nasal-tip': { region: sct('79283007', 'Skin of tip of nose'), within: false },
  nasolabial: { region: sct('37108007', 'Skin of nasolabial fold'), within: false },
  'upper-lip': { region: sct('16251004', 'Skin of upper lip'), within: false },
  philtrum: { region: sct('84365009', 'Skin of philtrum'), within: false },
  'vermilion-upper': { region: LIP, within: true },
  'vermilion-lower': { region: LIP, within: true },
  commissure: { region: SKIN_OF_FACE, within: true },
  marionette: { region: SKIN_OF_FACE, within: true },
  prejowl: { region: SKIN_OF_FACE, within: true },
  chin: { region: sct('23747009', 'Skin of chin'), within: false },
  jawline: { region: sct('244097004', 'Skin of jawline'), within: false },
};

export type ZoneCodes = Readonly<{
  /** The zone itself, without its side. */
  zone: Code;
  region: Code;
  within: boolean;
  side: Code | null;
  label: string;
}>;

/** A zone's codes; its side is a code of its own, as both standards have it. */
export function zoneCodes(id: ZoneId): ZoneCodes {
  const stem = id.replace(/-(left|right)$/, '') as Stem;
  const side = id.endsWith('-left') ? LEFT : id.endsWith('-right') ? RIGHT : null;
  const label = zoneLabel(id);
  return { zone: own(stem, label.replace(/, (left|right)$/, '')), ...REGIONS[stem], side, label };
}

const units = (value: string, meaning: string): Code => ({ scheme: 'UCUM', value, meaning });
export const NO_UNIT = units('1', 'no units');
export const SQUARE_MM = units('mm2', 'square millimeter');

const UNITS: Readonly<Record<(typeof METRICS)[MetricId]['unit'], Code>> = {
  mL: units('mL', 'milliliter'),
  mm: units('mm', 'millimeter'),
  mm2: SQUARE_MM,
  'L*': units('{L*}', 'CIELAB L*'),
  'a*': units('{a*}', 'CIELAB a*'),
  '-b*': units('{-b*}', 'CIELAB b*, negative'),
  dE00: units('{dE00}', 'CIEDE2000 colour difference'),
  '1': NO_UNIT,
};

export const unitCode = (metric: MetricId): Code => UNITS[METRICS[metric].unit];

/** Code values have at most 16 characters in DICOM, so they are not the metrics' own names. */
const METRIC_CODES: Readonly<Record<MetricId, Code>> = {
  volumeMl: own('volume', 'Change of volume'),
  depthMeanMm: own('depth-mean', 'Mean displacement along the outward normal'),
  depthPeakMm: own('depth-peak', 'Largest displacement along the outward normal'),
  lightnessDelta: own('lightness', 'Change of lightness against reference zones'),
  colourDelta: own('colour', 'Colour difference against reference zones'),
  rednessDelta: own('redness', 'Change of redness against reference zones'),
  bluenessDelta: own('blueness', 'Change of blueness against reference zones'),
  shadowAreaMm2: own('shadow-area', 'Change of the area in shadow'),
  shadowDepthDelta: own('shadow-depth', 'Change of the depth of shadow'),
  contourMm: own('contour', 'Shift of the border along its outward normal'),
  textureFineRatio: own('texture-fine', 'Fine texture, after over before'),
  textureCoarseRatio: own('texture-coarse', 'Coarse texture, after over before'),
  highlightDelta: own('highlight', 'Change of highlight strength'),
};
export const metricCode = (metric: MetricId): Code => METRIC_CODES[metric];

const FINDING_CODES: Readonly<Record<Finding, Code>> = {
  'beyond-error': own('beyond-error', 'Change beyond the error of measurement'),
  'within-error': own('within-error', 'No change beyond the error of measurement'),
  'not-assessable': own('not-assessable', 'Not assessable'),
};
export const findingCode = (finding: Finding): Code => FINDING_CODES[finding];

const VIEW_CODES: Readonly<Record<View, Code>> = {
  frontal: own('frontal', 'Frontal view'),
  'oblique-left': own('oblique-left', 'Oblique view of the left side'),
  'oblique-right': own('oblique-right', 'Oblique view of the right side'),
  'lateral-left': own('lateral-left', 'Lateral view of the left side'),
  'lateral-right': own('lateral-right', 'Lateral view of the right side'),
};
export const viewCode = (view: View): Code => VIEW_CODES[view];

export const ROLE_CODES = { before: own('before', 'Before'), after: own('after', 'After') } as const;

/** What is said beside a value, beyond what the standards have a code for. */
export const OWN = {
  uncertainty: own('std-uncertainty', 'Standard uncertainty (k = 1)'),
  interval: own('ci95', '95 % interval'),
  low: own('ci95-low', '95 % interval, lower bound'),
  high: own('ci95-high', '95 % interval, upper bound'),
  sdc: own('sdc', 'Smallest detectable change'),
  p: own('p', 'Two-sided p under no change'),
  pHolm: own('p-holm', 'p after correction by Holm over zones'),
  metricFinding: own('metric-finding', 'Finding of this metric'),
  zoneFinding: own('zone-finding', 'Finding of the zone'),
  quietRange: own('quiet-range', 'Range within the error of measurement'),
  area: own('area', 'Area of the zone'),
  seen: own('seen', 'Share of the zone that was seen'),
  trusted: own('trusted', 'Share of what was seen where the light was trusted'),
  zoneRole: own('zone-role', 'Role of the zone'),
  reference: own('reference', 'Reference zone, expected not to change'),
  concern: own('concern', 'Zone of concern or neighbour'),
  photographRole: own('photo-role', 'Visit of the photograph'),
  view: own('view', 'View of the photograph'),
  method: own('photo-pair', 'Comparison of photographs, pose and light evened'),
  control: own('control', 'Negative control'),
  controlHeld: own('control-held', 'Reference zones stayed within error'),
  controlFailed: own('control-failed', 'Reference zones seem to have changed'),
  errorSource: own('error-source', 'Source of the standard errors'),
  'own-repeats': own('own-repeats', 'Repeated photographs of the same set-up'),
  validation: own('validation', 'Validation of the program'),
  scale: own('scale-rel-u', 'Relative standard uncertainty of the scale'),
  caution: own('caution', 'Caution'),
  pooled: own('pooled', 'Zones of concern taken together'),
  report: own('change-report', 'Facial change report from photographs'),
  comparable: own('comparable', 'Comparability of the photographs'),
  isComparable: own('is-comparable', 'Comparable'),
  notComparable: own('not-comparable', 'Not comparable'),
  parameters: own('parameters', 'SHA-256 of the parameters'),
} as const;

/** Every code of our own, for the list in the documents. */
export const OWN_CODES: readonly Code[] = [
  ...new Map(
    [
      ...ZONE_IDS.map((id) => zoneCodes(id).zone),
      ...METRIC_IDS.map(metricCode),
      ...FINDINGS.map(findingCode),
      ...VIEWS.map(viewCode),
      ...Object.values(ROLE_CODES),
      ...Object.values(OWN),
    ].map((code) => [code.value, code]),
  ).values(),
];
