/**
 * What the project asks of itself, and whether the results meet it: on faces, nuisance and noise that the tuning never saw.
 */
import type { Agreement } from '#lib/stats/limits-of-agreement.ts';
import type { Proportion } from '#lib/stats/proportion.ts';
import type { RocArea } from '#lib/stats/roc.ts';
import {
  agreement,
  changedVolumes,
  comparable,
  coverage,
  detection,
  falseAlarms,
  MIDFACES,
  separation,
  zoneVolumes,
} from './validation-figures.ts';
import type { CaseResult } from './validation-result.ts';

export type GoalKind = 'share' | 'area' | 'limits';
export type Goal = Readonly<{
  what: string;
  views: 1 | 3;
  /** As asked. */
  asked: string;
  measured: string;
  met: boolean | null;
}>;

const ASKED = {
  1: { falseAlarms: 0.05, found: 0.9, area: 0.95, limitsMl: 0.5, cover: [0.9, 0.98] },
  3: { falseAlarms: 0.05, found: 0.98, area: 0.98, limitsMl: 0.3, cover: [0.9, 0.98] },
} as const;

/** The phantom cases of one number of views, by what was done to them. */
export function phantomCases(results: readonly CaseResult[], views: number) {
  const of = results.filter((result) => result.source === 'phantom' && result.views === views);
  const pick = (group: string, nuisance: string): CaseResult[] => of.filter((each) => each.group === group && each.nuisance === nuisance);
  const midface = (nuisance: string, nominalMl?: number): CaseResult[] =>
    pick('one-zone', nuisance).filter(
      ({ changed, nominalMl: ml }) => MIDFACES.includes(changed[0]) && (nominalMl === undefined || ml === nominalMl),
    );
  return { all: of, pick, midface };
}

/**
 * Cases of 0 to 2 mL with all nuisance, one zone each: the midface that was changed, and where nothing was changed the midface of
 * the side that the case's number gives.
 */
export function agreementCases(results: readonly CaseResult[], views: number) {
  const { pick, midface } = phantomCases(results, views);
  const still = comparable(pick('no-change', 'all')).flatMap((result, k) => zoneVolumes([result], (zone) => zone === MIDFACES[k % 2]));
  return [...changedVolumes(comparable(midface('all'))), ...still];
}

export function validationGoals(results: readonly CaseResult[]): Goal[] {
  return ([1, 3] as const).flatMap((views): Goal[] => {
    const { pick, midface, all } = phantomCases(results, views);
    const asked = ASKED[views];
    const alarms = falseAlarms(pick('no-change', 'all')).any;
    const found = detection(midface('all', -1)).byVolume;
    const area = separation(midface('none', -0.3), pick('no-change', 'none'));
    const limits = agreement(agreementCases(results, views));
    const cover = coverage(zoneVolumes(comparable(all)));
    const coverChanged = coverage(changedVolumes(comparable(all)));
    const within = ({ share }: Proportion): boolean => share >= asked.cover[0] && share <= asked.cover[1];
    return [
      {
        what: 'False alarms per comparison, nuisance but no change',
        views,
        asked: `${percent(asked.falseAlarms)} or less`,
        measured: shareWords(alarms),
        met: known(alarms, alarms.share <= asked.falseAlarms),
      },
      {
        what: '1.0 mL lost in one midface, nuisance: found',
        views,
        asked: percent(asked.found),
        measured: shareWords(found),
        met: known(found, found.share >= asked.found),
      },
      {
        what: '0.3 mL lost in one midface, no nuisance: area under ROC',
        views,
        asked: asked.area.toFixed(2),
        measured: areaWords(area),
        met: area && area.area >= asked.area,
      },
      {
        what: 'Limits of agreement of volume, 0 to 2 mL, nuisance',
        views,
        asked: `within ${asked.limitsMl} mL`,
        measured: limitsWords(limits),
        met: limits?.limits.every((limit) => Math.abs(limit) <= asked.limitsMl) ?? null,
      },
      {
        what: 'Cover of the 95 % intervals, all zones',
        views,
        asked: '90 to 98 %',
        measured: shareWords(cover),
        met: known(cover, within(cover)),
      },
      {
        what: 'Cover of the 95 % intervals, changed zones',
        views,
        asked: '90 to 98 %',
        measured: shareWords(coverChanged),
        met: known(coverChanged, within(coverChanged)),
      },
    ];
  });
}

const known = ({ of }: Proportion, met: boolean): boolean | null => (of === 0 ? null : met);

export const percent = (share: number): string => `${Number((100 * share).toFixed(1))} %`;

export const shareWords = ({ count, of, share, ci95 }: Proportion): string =>
  of === 0 ? 'no cases' : `${percent(share)} (${count} of ${of}; ${percent(ci95[0])} to ${percent(ci95[1])})`;

export const areaWords = (area: RocArea | null): string =>
  area ? `${area.area.toFixed(3)} \u00b1 ${area.u.toFixed(3)} (${area.positives} against ${area.negatives})` : 'no cases';

export const signed = (value: number, digits = 2): string =>
  Math.abs(value) < 0.5 * 10 ** -digits ? (0).toFixed(digits) : `${value < 0 ? '\u2212' : '+'}${Math.abs(value).toFixed(digits)}`;

export const limitsWords = (limits: Agreement | null): string =>
  limits ? `bias ${signed(limits.bias)}, limits ${signed(limits.limits[0])} to ${signed(limits.limits[1])} mL (${limits.n})` : 'no cases';
