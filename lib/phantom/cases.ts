/**
 * The cases that the validation measures: who, what was lost, what else differed, as seeds and numbers.
 *
 * Tuning and judging draw their faces, nuisance and noise from seeds that never meet. Same list on every machine.
 */
import { randomFrom } from '#lib/stats/random.ts';
import type { View } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import { identityFrom } from './identity.ts';
import { drawNuisance, NUISANCE_PARTS, type NuisancePart } from './nuisance.ts';
import { pairSpecs } from './pair.ts';
import type { LossSpec, PhantomSpec, QualityName } from './types.ts';

export type CaseSet = 'tuning' | 'judging';

export const CASE_GROUPS = ['no-change', 'one-zone', 'both-midfaces', 'diffuse'] as const;
export type CaseGroup = (typeof CASE_GROUPS)[number];

export type ValidationCase = Readonly<{
  id: string;
  set: CaseSet;
  group: CaseGroup;
  face: number;
  /** 0 the lightest skin, 1 the darkest. */
  tone: number;
  views: 1 | 3;
  /** All parts, none, or one alone for the error budget. */
  nuisance: 'all' | 'none' | NuisancePart;
  nuisanceSeed: number;
  loss: readonly LossSpec[];
  /** Zones named beforehand to the comparison; the pooled test is over them. */
  concern: readonly ZoneId[];
  /** Zones that were changed on purpose, and the volume asked for in each, mL. */
  changed: readonly ZoneId[];
  nominalMl: number;
  jpegQuality: number;
  interpupillaryPx: number;
  quality: QualityName;
}>;

/** Yaw of an oblique view; positive turns to the subject's left, so the right cheek is shown. */
export const OBLIQUE_YAW_DEG = 35;

/** The six zones of the diffuse loss; named beforehand there, and in every other case without change, so that the pooled test has its own. */
export const DIFFUSE_ZONES: readonly ZoneId[] = [
  'infraorbital-left',
  'infraorbital-right',
  'midface-left',
  'midface-right',
  'submalar-left',
  'submalar-right',
];

/** Faces of each set: the seed of the person, and a skin tone that runs from light to dark. */
// The judging faces begin anew (5001, then 7001 before) whenever figures of the former ones were seen before a change of the measurement.
const FACES: Readonly<Record<CaseSet, Readonly<{ first: number; count: number }>>> = {
  tuning: { first: 1001, count: 10 },
  judging: { first: 9001, count: 12 },
};
const OTHER_ZONES: readonly ZoneId[] = [
  'infraorbital-left',
  'submalar-right',
  'nasolabial-left',
  'prejowl-right',
  'marionette-left',
  'jawline-right',
];

type Part = Pick<ValidationCase, 'group' | 'views' | 'nuisance' | 'loss' | 'concern' | 'changed' | 'nominalMl'>;

/** The whole list of a set. `full` cases for the report; `quick` is a part of the same list at draft quality. */
export function validationCases(set: CaseSet, size: 'full' | 'quick' = 'full'): ValidationCase[] {
  const counts = size === 'full' ? (set === 'judging' ? JUDGING : TUNING) : QUICK;
  const { first, count } = FACES[set];
  const chance = randomFrom(first);
  return counts.flatMap(({ label, times, of }) =>
    Array.from({ length: times }, (_, k): ValidationCase => {
      const id = `${set}-${label}-${k + 1}`;
      const at = (k + counts.findIndex((each) => each.label === label)) % count;
      return {
        id,
        set,
        face: first + at,
        tone: (((at * 5) % count) + 0.5) / count,
        nuisanceSeed: chance.fork(id).uint32(),
        // One camera for each person, so that the photograph before is the same in all cases of one face and need not be drawn again.
        jpegQuality: [92, 85, 95, 78][at % 4],
        interpupillaryPx: at % 3 === 2 ? 190 : 250,
        quality: size === 'full' ? 'standard' : 'draft',
        ...of(k),
      };
    }),
  );
}

/** The photographs of a case, each view with what it shows before and after. */
export function photographsOf(one: ValidationCase): { view: View; before: PhantomSpec; after: PhantomSpec }[] {
  const parts = one.nuisance === 'all' ? NUISANCE_PARTS : one.nuisance === 'none' ? [] : [one.nuisance];
  const views = one.views === 1 ? [VIEWS[0]] : VIEWS;
  return views.map(({ view, yawDeg }) => ({
    view,
    ...pairSpecs({
      identity: identityFrom(one.face, one.tone),
      quality: one.quality,
      pose: { yawDeg },
      camera: { interpupillaryPx: one.interpupillaryPx, noiseSeed: one.face },
      loss: one.loss,
      nuisance: drawNuisance(one.nuisanceSeed, parts, view),
    }),
  }));
}

const VIEWS: readonly { view: View; yawDeg: number }[] = [
  { view: 'frontal', yawDeg: 0 },
  { view: 'oblique-right', yawDeg: OBLIQUE_YAW_DEG },
  { view: 'oblique-left', yawDeg: -OBLIQUE_YAW_DEG },
];

type Count = Readonly<{ label: string; times: number; of: (k: number) => Part }>;

const unchanged = (label: string, times: number, views: 1 | 3, nuisance: ValidationCase['nuisance']): Count => ({
  label,
  times,
  of: (k) => ({ group: 'no-change', views, nuisance, loss: [], concern: k % 2 ? DIFFUSE_ZONES : [], changed: [], nominalMl: 0 }),
});

/** A change of one zone at a time, in turn; every other one runs out over its neighbours. */
const oneZone = (
  label: string,
  times: number,
  views: 1 | 3,
  nuisance: ValidationCase['nuisance'],
  volumeMl: number,
  zones: readonly ZoneId[] = ['midface-left', 'midface-right'],
): Count => ({
  label,
  times,
  of: (k) => {
    const zone = zones[k % zones.length];
    const spread = k % 4 >= 2 ? { spreadMm: k % 8 >= 4 ? 10 : 6 } : {};
    return { group: 'one-zone', views, nuisance, loss: [{ zone, volumeMl, ...spread }], concern: [], changed: [zone], nominalMl: volumeMl };
  },
});

const bothMidfaces = (label: string, times: number, views: 1 | 3, volumeMl: number): Count => ({
  label,
  times,
  of: (k) => ({
    group: 'both-midfaces',
    views,
    nuisance: 'all',
    loss: (['midface-left', 'midface-right'] as const).map((zone) => ({ zone, volumeMl, ...(k % 2 ? { spreadMm: 8 } : {}) })),
    concern: [],
    changed: ['midface-left', 'midface-right'],
    nominalMl: volumeMl,
  }),
});

/** The same in each of six zones; every other one as a single region that runs out, so that no zone has a border of its own. */
const diffuse = (label: string, times: number, views: 1 | 3, perZoneMl: number): Count => ({
  label,
  times,
  of: (k) => ({
    group: 'diffuse',
    views,
    nuisance: 'all',
    loss: DIFFUSE_ZONES.map((zone) => ({ zone, volumeMl: perZoneMl, ...(k % 2 ? { spreadMm: 8 } : {}) })),
    concern: DIFFUSE_ZONES,
    changed: DIFFUSE_ZONES,
    nominalMl: perZoneMl,
  }),
});

const JUDGING: readonly Count[] = [
  unchanged('no-change-nuisance', 60, 1, 'all'),
  unchanged('no-change-clean', 16, 1, 'none'),
  oneZone('loss-0.3-nuisance', 16, 1, 'all', -0.3),
  oneZone('loss-0.6-nuisance', 16, 1, 'all', -0.6),
  oneZone('loss-1.0-nuisance', 24, 1, 'all', -1),
  oneZone('loss-2.0-nuisance', 12, 1, 'all', -2),
  oneZone('gain-0.5-nuisance', 8, 1, 'all', 0.5),
  oneZone('loss-0.3-clean', 16, 1, 'none', -0.3),
  oneZone('loss-1.0-clean', 8, 1, 'none', -1),
  oneZone('loss-0.6-elsewhere', 18, 1, 'all', -0.6, OTHER_ZONES),
  bothMidfaces('both-1.0-nuisance', 8, 1, -1),
  diffuse('diffuse-0.25-nuisance', 24, 1, -0.25),
  ...NUISANCE_PARTS.map((part) => oneZone(`budget-${part}`, 6, 1, part, -1)),
  unchanged('three-no-change-nuisance', 24, 3, 'all'),
  unchanged('three-no-change-clean', 6, 3, 'none'),
  oneZone('three-loss-0.3-nuisance', 6, 3, 'all', -0.3),
  oneZone('three-loss-1.0-nuisance', 12, 3, 'all', -1),
  oneZone('three-loss-2.0-nuisance', 4, 3, 'all', -2),
  oneZone('three-loss-0.3-clean', 8, 3, 'none', -0.3),
  diffuse('three-diffuse-0.25-nuisance', 8, 3, -0.25),
];

const TUNING: readonly Count[] = [
  unchanged('no-change-nuisance', 20, 1, 'all'),
  unchanged('no-change-clean', 6, 1, 'none'),
  oneZone('loss-1.0-nuisance', 8, 1, 'all', -1),
  unchanged('three-no-change-nuisance', 5, 3, 'all'),
];

const QUICK: readonly Count[] = [
  unchanged('no-change-nuisance', 10, 1, 'all'),
  oneZone('loss-0.3-clean', 4, 1, 'none', -0.3),
  oneZone('loss-1.0-nuisance', 6, 1, 'all', -1),
  diffuse('diffuse-0.25-nuisance', 4, 1, -0.25),
];
