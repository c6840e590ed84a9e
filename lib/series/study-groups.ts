/**
 * Do groups differ? One value a subject, with a covariate where there is one, or by Welch's test without.
 *
 * Model   A pair measures change, so there is no baseline value in the usual sense, and two questions are kept apart. `whole-change` compares
 *         the change from the baseline photographs, by Welch's test, or by analysis of covariance with a covariate of the researcher's own, one
 *         number a subject, such as a grade before treatment. `after-first` takes the zone's change at the first follow-up for the baseline and
 *         the last follow-up for the outcome, among subjects with both: it compares what happened BETWEEN the two, so a difference that was
 *         there at the first already is taken off, on purpose, and the answer says so.
 * Source  Vickers & Altman, BMJ 323:1123-1124, 2001, doi:10.1136/bmj.323.7321.1123.
 */
import { type AncovaRow, ancova } from '#lib/stats/ancova.ts';
import { welchAnova, welchDifference } from '#lib/stats/compare-groups.ts';
import { standardisedDifference } from '#lib/stats/effect-size.ts';
import { oneSampleT } from '#lib/stats/one-sample.ts';
import { mean, sampleDeviation } from '#lib/stats/sum.ts';
import { refused } from '#shared/outcome.ts';
import type { Assumption, GroupQuestion, StudyReport } from '#shared/study.ts';
import { equalScatter, equalSlopes, independence, normality } from './study-assumptions.ts';
import { isMagnitude, type StudyColumn, type StudyData } from './study-data.ts';
import { bySubject, compareText, onePerSubject, type StudyOptions, type SubjectValue } from './study-selection.ts';

type Groups = StudyReport['groups'][number]['answer'];
/** One number a subject, such as age or a rating before treatment. */
export type Covariate = Readonly<{ name: string; of: ReadonlyMap<string, number> }>;
type InGroup = Readonly<{ subject: string; group: string; value: number; covariate: number | null }>;

const APART = independence('One value a subject.');

export function studyGroups(
  data: StudyData,
  column: StudyColumn,
  options: StudyOptions,
  question: GroupQuestion,
  covariate: Covariate | null,
): Groups {
  if (isMagnitude(column.metric))
    return refused(
      'no-sign',
      'A colour difference says how far, not which way, so groups are compared by lightness, redness and blueness.',
    );
  const subjects = bySubject(data, column, 'change', options);
  const first = question === 'after-first';
  const all = [...subjects.values()].filter((own) => own[0].group !== null && (!first || own.length >= 2));
  const strays = all.find((own) => own.some(({ group }) => group !== own[0].group));
  if (strays)
    return refused('two-groups', `Subject "${strays[0].subject}" stands in two groups. A comparison of groups needs each subject in one.`);
  const names = [...new Set(all.map(([one]) => one.group!))].sort(compareText);
  if (options.against !== null && names.includes(options.against)) names.unshift(...names.splice(names.indexOf(options.against), 1));
  if (names.length < 2)
    return refused('one-group', `Comparing groups needs at least two groups with measured subjects, got ${names.length}.`);

  const own = first ? null : covariate;
  const rule = first ? 'last' : options.perSubject;
  const rows = onePerSubject(new Map(all.map((own) => [own[0].subject, own])), rule)
    .map(
      (chosen, i): InGroup => ({
        subject: chosen.subject,
        group: chosen.group!,
        value: chosen.value,
        covariate: covariateOf(chosen, all[i], own, first),
      }),
    )
    .filter((row) => !own || row.covariate !== null)
    .sort((a, b) => names.indexOf(a.group) - names.indexOf(b.group));
  const groups = names.map((name) => rows.filter(({ group }) => group === name).map(({ value }) => value));
  const small = groups.findIndex((values) => values.length < 3);
  if (small >= 0)
    return refused(
      'too-few',
      `Group "${names[small]}" has ${groups[small].length} measured subjects${first ? ' with two follow-ups or more' : own ? ` with ${own.name}` : ''}; each group needs at least 3.`,
    );
  if (own || first) return withCovariate(rows, names, groups, own?.name ?? 'change at the first follow-up', first);
  return withoutCovariate(names, groups);
}

const covariateOf = (chosen: SubjectValue, own: readonly SubjectValue[], covariate: Covariate | null, first: boolean): number | null =>
  covariate ? (covariate.of.get(chosen.subject) ?? null) : first ? own[0].value : null;

function withCovariate(
  rows: readonly InGroup[],
  names: readonly string[],
  groups: readonly number[][],
  name: string,
  first: boolean,
): Groups {
  const fit = ancova(rows.map(({ group, value, covariate }): AncovaRow => ({ group, y: value, covariate: covariate! })));
  if (!fit.ok) return fit;
  const { residuals } = fit.value;
  const residualGroups = names.map((group) => [...residuals].filter((_, i) => rows[i].group === group));
  const asked: Assumption[] = first
    ? [
        {
          name: 'the first follow-up is a fair baseline',
          held: null,
          detail:
            'What differed at the first follow-up already is taken off: this compares the course from the first to the last follow-up, not the whole change.',
        },
      ]
    : [];
  return {
    ok: true,
    method: `analysis of covariance, ${name} as covariate, F test of the groups; means at the covariate\u2019s mean`,
    assumptions: [normality(residuals, 'residuals'), equalScatter(residualGroups), equalSlopes(fit.value.slopes), ...asked, APART],
    covariate: { name, slope: fit.value.slope, at: fit.value.at },
    groups: fit.value.adjusted.map(({ group, n, mean: adjusted, ci95 }, i) => ({
      group,
      n,
      mean: mean(groups[i]),
      sd: sampleDeviation(groups[i]),
      adjusted,
      adjustedCi95: [...ci95],
    })),
    test: fit.value.groups,
    differences: fit.value.differences.map(({ group, against, value, ci95, p }, j) => ({
      group,
      against,
      value,
      ci95: [...ci95],
      p,
      ...hedgesOf(groups[0], groups[j + 1]),
    })),
    pHolm: null,
    pBh: null,
  };
}

function withoutCovariate(names: readonly string[], groups: readonly number[][]): Groups {
  const test = welchAnova(groups);
  if (!test.ok) return test;
  const alone = groups.map((values) => oneSampleT(values));
  const differences = groups.slice(1).map((values) => welchDifference(groups[0], values));
  const centred = groups.flatMap((values) => values.map((value) => value - mean(values)));
  return {
    ok: true,
    method: 'Welch\u2019s test of unequal variances, without covariate; intervals by Student\u2019s t with Welch\u2019s degrees of freedom',
    assumptions: [normality(centred, 'residuals'), equalScatter(groups), APART],
    covariate: null,
    groups: alone.flatMap((one, i) =>
      one.ok
        ? [
            {
              group: names[i],
              n: one.value.n,
              mean: one.value.mean,
              sd: one.value.sd,
              adjusted: one.value.mean,
              adjustedCi95: [...one.value.ci95] as [number, number],
            },
          ]
        : [],
    ),
    test: test.value,
    differences: differences.flatMap((one, j) =>
      one.ok
        ? [
            {
              group: names[j + 1],
              against: names[0],
              value: one.value.difference,
              ci95: [...one.value.ci95] as [number, number],
              p: one.value.p,
              ...hedgesOf(groups[0], groups[j + 1]),
            },
          ]
        : [],
    ),
    pHolm: null,
    pBh: null,
  };
}

function hedgesOf(first: readonly number[], second: readonly number[]): { hedges: number | null; hedgesCi95: [number, number] | null } {
  const effect = standardisedDifference(first, second);
  return effect.ok ? { hedges: effect.value.hedges, hedgesCi95: [...effect.value.hedgesCi95] } : { hedges: null, hedgesCi95: null };
}
