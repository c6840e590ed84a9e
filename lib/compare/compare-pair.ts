/**
 * The heart: photographs before and after become a Comparison. Page, command, series and tests all call this.
 *
 * Same inputs, same bytes out: nothing here asks the clock, chance or the machine. A pair that can't be compared is an answer
 * (`gate.comparable` false, with reasons); a file that can't be read is a refusal.
 */
import { alignPair } from '#lib/align/align-pair.ts';
import { ENGINE_VERSION, engineModels } from '#lib/face/engine.ts';
import { judgePair } from '#lib/face/gate.ts';
import { withSharedScale } from '#lib/face/shared-scale.ts';
import type { Face } from '#lib/face/types.ts';
import { lightFacts } from '#lib/light/light-facts.ts';
import { type RelitPair, relightPair } from '#lib/light/relight.ts';
import { DISPLACEMENT_PARAMETERS } from '#lib/measure/displacement-parameters.ts';
import { type Measures, measureZones, type ZoneMeasure } from '#lib/measure/measure-zones.ts';
import type { Readings, ZoneReadings } from '#lib/measure/reading.ts';
import { SET_UP_ERROR } from '#lib/measure/set-up-error.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import { cautionsFor } from '#shared/cautions.ts';
import { type Check, COMPARISON_SCHEMA, type Comparison, comparisonSchema, VIEWS, type ZoneResult } from '#shared/comparison.ts';
import { findingSentence } from '#shared/finding-words.ts';
import { found, type Outcome } from '#shared/outcome.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { MOBILE_ZONES, REFERENCE_ZONES, type ZoneId } from '#shared/zones.ts';
import { behindSpectacles } from './behind-spectacles.ts';
import { controlOf } from './control.ts';
import { inputOf, tidy } from './describe.ts';
import { fieldOf } from './field.ts';
import { findingOf, judge, judgeReferences } from './findings.ts';
import { plateOf } from './plate.ts';
import { pooledOf, USUAL_ZONES } from './pooled.ts';
import { registrationCheck } from './registration-check.ts';
import { setUpErrorOf, setUpUse } from './set-up.ts';
import { sha256Hex } from './sha256.ts';
import { type CompareFault, sightAll } from './sight-all.ts';
import type { ComparedPair, CompareOptions, PhotoSource } from './types.ts';
import { unassessableZones } from './unassessable.ts';

export async function comparePair(
  before: readonly PhotoSource[],
  after: readonly PhotoSource[],
  options: CompareOptions = {},
): Promise<Outcome<ComparedPair, CompareFault>> {
  const hint = options.scale ?? { kind: 'iris' };
  const tell = options.onProgress ?? (() => {});
  tell('Reading the before photographs', 0);
  const befores = await sightAll(before, 'before', hint);
  if (!befores.ok) return befores;
  tell('Reading the after photographs', 0.2);
  const afters = await sightAll(after, 'after', hint);
  if (!afters.ok) return afters;
  tell('Judging whether the pair is comparable', 0.4);
  return found(compareFaces(befores.value, afters.value, options, tell));
}

/** The same for faces already sighted. All are of one person, so the photograph that shows the size best gives it to the others. */
export function compareFaces(
  sightedBefore: readonly Face[],
  sightedAfter: readonly Face[],
  options: CompareOptions,
  tell: (step: string, done: number) => void = () => {},
): ComparedPair {
  const faces = withSharedScale([...sightedBefore, ...sightedAfter]);
  const befores = faces.slice(0, sightedBefore.length),
    afters = faces.slice(sightedBefore.length);
  const pairs = VIEWS.flatMap((view) => {
    const before = befores.find((face) => face.view === view),
      after = afters.find((face) => face.view === view);
    return before && after ? [{ before, after }] : [];
  });
  const checks: Check[] = [
    ...befores.flatMap((face) => face.checks.map((check): Check => ({ ...check, of: 'before' }))),
    ...afters.flatMap((face) => face.checks.map((check): Check => ({ ...check, of: 'after' }))),
    ...pairs.flatMap(({ before, after }) => judgePair(before, after)),
    ...unmatchedViews(befores, afters),
  ];
  const frame = { befores, afters, options };
  if (pairs.length === 0 || refusing(checks))
    return { comparison: incomparable(frame, checks), plates: [], field: null, readings: new Map() };

  const concern = options.concernZones ?? [];
  const behind = behindSpectacles(
    pairs.map(({ before }) => before),
    pairs.map(({ after }) => after),
  );
  const references = REFERENCE_ZONES.filter((zone) => !concern.includes(zone) && !behind.has(zone));
  const aligned = pairs.map(({ before, after }, i) => {
    tell(`Aligning the ${before.view} view`, 0.45 + (0.2 * i) / pairs.length);
    return alignPair(before, after, [...behind.keys()]);
  });
  checks.push(...aligned.map(registrationCheck));
  if (refusing(checks)) return { comparison: incomparable(frame, checks), plates: [], field: null, readings: new Map() };
  const relit = aligned.map((pair, i) => {
    tell(`Evening the light of the ${pair.view} view`, 0.65 + (0.1 * i) / pairs.length);
    return relightPair(pair, references, MOBILE_ZONES.concat(concern));
  });
  tell('Measuring the zones', 0.78);
  const relU = pairs[0].before.scale.relU;
  const measures = measureZones(relit, references, relU);
  const whyNot = unassessableZones(measures.zones, checks, behind);
  const readings: ZoneReadings = new Map(
    measures.zones.map(({ zone, readings }): [ZoneId, Readings] => [zone, whyNot.has(zone) ? {} : readings]),
  );
  const lost = REFERENCE_ZONES.filter((zone) => !concern.includes(zone) && behind.has(zone));
  const comparison = measured(frame, checks, relit, { measures, whyNot, readings }, references, lost);
  if (options.pictures === false) return { comparison, plates: [], field: null, readings };
  tell('Drawing the pictures', 0.95);
  const drifts = measures.drifts.map(driftOfLightness);
  const plates = relit.map((view, v) => plateOf(view, measures.fine[v], measures, drifts[v]));
  const judged = comparison.zones.filter((zone) => zone.assessable).map((zone) => zone.zone);
  const field = fieldOf(relit, measures, drifts, judged);
  return { comparison, plates, field, readings };
}

type Frame = Readonly<{ befores: readonly Face[]; afters: readonly Face[]; options: CompareOptions }>;
type Read = Readonly<{ measures: Measures; whyNot: ReadonlyMap<ZoneId, string>; readings: ZoneReadings }>;

function measured(
  frame: Frame,
  checks: readonly Check[],
  relit: readonly RelitPair[],
  { measures, whyNot, readings }: Read,
  references: readonly ZoneId[],
  /** References that spectacles lie before. */
  lost: readonly ZoneId[],
): Comparison {
  const { concernZones = [], daysSinceTreatment, setUp } = frame.options;
  const error = setUpErrorOf(setUp);
  const witnesses = new Map([...readings].filter(([zone]) => references.includes(zone)));
  const others = new Map([...readings].filter(([zone]) => !references.includes(zone)));
  const witnessed = judgeReferences(witnesses, error);
  const control = controlOf(
    witnessed,
    references.filter((zone) => !whyNot.has(zone)),
    lost,
  );
  const judged = new Map([...witnessed, ...judge(others, concernZones, error)]);
  const zones = measures.zones.map(
    (measure): ZoneResult => zoneResult(measure, judged.get(measure.zone) ?? {}, whyNot.get(measure.zone) ?? null, references),
  );
  const pool = (concernZones.length ? concernZones : USUAL_ZONES).filter((zone) => !whyNot.has(zone));
  const first = relit[0].aligned.before;
  const base = {
    ...head(frame),
    gate: { comparable: true, checks: [...checks] },
    scale: { mmPerPx: tidy(first.scale.mmPerPx), source: first.scale.source, relU: tidy(first.scale.relU) },
    registration: relit.map(({ aligned: { view, registration } }) => ({
      view,
      residualPx: tidy(registration.residualPx),
      residualMm: tidy(registration.residualMm),
      expressionMm: tidy(registration.expressionMm),
    })),
    light: relit.map(lightFacts),
    control,
    zones,
    pooled: pooledOf(measures, pool, first.scale.relU, error),
  };
  return comparisonSchema.parse({ ...base, cautions: cautionsFor(base, { daysSinceTreatment, setUp }) });
}

function zoneResult(
  measure: ZoneMeasure,
  metrics: ZoneResult['metrics'],
  whyNot: string | null,
  references: readonly ZoneId[],
): ZoneResult {
  const assessable = whyNot === null;
  const finding = assessable ? findingOf(metrics) : 'not-assessable';
  const base = {
    zone: measure.zone,
    reference: references.includes(measure.zone),
    assessable,
    whyNot,
    finding,
    areaMm2: tidy(measure.areaMm2),
    seen: tidy(measure.seen),
    trusted: tidy(measure.trusted),
    metrics: assessable ? metrics : {},
  };
  return { ...base, statement: findingSentence(base) };
}

function incomparable(frame: Frame, checks: readonly Check[]): Comparison {
  const base = {
    ...head(frame),
    gate: { comparable: false, checks: [...checks] },
    scale: null,
    registration: [],
    light: [],
    control: { trusted: false, statement: 'Nothing was measured, because the photographs are not comparable.' },
    zones: [],
    pooled: null,
  };
  return comparisonSchema.parse({ ...base, cautions: cautionsFor(base, frame.options) });
}

function head({ befores, afters, options }: Frame) {
  const parameters = {
    displacement: DISPLACEMENT_PARAMETERS,
    setUpError: SET_UP_ERROR,
    scale: options.scale ?? { kind: 'iris' },
    concernZones: options.concernZones ?? [],
    daysSinceTreatment: options.daysSinceTreatment ?? null,
    ...(options.setUp ? { setUp: setUpUse(options.setUp) } : {}),
  };
  return {
    schema: COMPARISON_SCHEMA as typeof COMPARISON_SCHEMA,
    versions: {
      ebbline: EBBLINE_VERSION,
      landmarkEngine: ENGINE_VERSION,
      models: { ...engineModels() },
      parametersSha256: sha256Hex(canonicalJson(parameters)),
    },
    parameters,
    errorSource: options.setUp ? ('own-repeats' as const) : ('validation' as const),
    inputs: [...befores.map((face) => inputOf(face, 'before')), ...afters.map((face) => inputOf(face, 'after'))],
  };
}

const refusing = (checks: readonly Check[]): boolean => checks.some((check) => check.verdict === 'refuse');

/** Views that only one side has are left out with a note; when nothing is left, that is a refusal. */
function unmatchedViews(befores: readonly Face[], afters: readonly Face[]): Check[] {
  const matched = befores.some((face) => afters.some((other) => other.view === face.view));
  return [
    ...befores.map((face) => ({ face, side: 'before', others: afters })),
    ...afters.map((face) => ({ face, side: 'after', others: befores })),
  ]
    .filter(({ face, others }) => !others.some((other) => other.view === face.view))
    .map(({ face, side, others }) => ({
      id: 'view-match' as const,
      of: 'pair' as const,
      view: face.view,
      verdict: matched ? ('caution' as const) : ('refuse' as const),
      value: null,
      unit: '',
      limit: { caution: null, refuse: null, sense: 'at-most' as const },
      message: `The ${side} photograph ${face.photo.name} is a ${face.view} view; the other side has only ${[...new Set(others.map((other) => other.view))].join(', ')}.`,
      advice: `Add the ${face.view} view of the other visit, or leave this photograph out.`,
    }));
}

/** What the references' L* drifted by, so that the lightness map is relative to them. */
function driftOfLightness([r, g, b]: readonly number[]): number {
  // L* of mid skin (Y about 0.3) moves by (L + 16) / 3 per unit of log luminance.
  return ((61.7 + 16) / 3) * (0.2126 * r + 0.7152 * g + 0.0722 * b);
}
