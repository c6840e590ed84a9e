/** The plots of the validation report, by file name. */
import { normalShare } from '#lib/stats/normal.ts';
import { rocCurve } from '#lib/stats/roc.ts';
import { type Plot, type PlotSeries, plotSvg } from './plot-svg.ts';
import { agreement, changedVolumes, comparable, diffusePower, MIDFACES, scoreOf, zoneVolumes } from './validation-figures.ts';
import type { CaseResult } from './validation-result.ts';

export function validationPlots(results: readonly CaseResult[]): Record<string, string> {
  const phantoms = comparable(results).filter(({ source }) => source === 'phantom');
  const painted = comparable(results).filter(({ source }) => source === 'painted');
  const views = (count: number): CaseResult[] => phantoms.filter((result) => result.views === count);
  return {
    'agreement-frontal.svg': plotSvg(agreementPlot('Measured against true volume, frontal view', views(1))),
    'agreement-three.svg': plotSvg(agreementPlot('Measured against true volume, three views', views(3))),
    'agreement-painted.svg': plotSvg(agreementPlot('Measured against painted volume, real photographs', painted)),
    'roc-frontal.svg': plotSvg(rocPlot('Loss in a midface told from no change, frontal view', views(1))),
    'roc-three.svg': plotSvg(rocPlot('Loss in a midface told from no change, three views', views(3))),
    'diffuse.svg': plotSvg(diffusePlot(views(1))),
    'scatter.svg': plotSvg(scatterPlot(phantoms)),
  };
}

function agreementPlot(title: string, results: readonly CaseResult[]): Plot {
  const of = changedVolumes(results);
  const point = ({ trueMl, volume }: (typeof of)[number]): [number, number] => [trueMl, volume.value];
  const clean = of.filter(({ result }) => result.nuisance === 'none').map(point);
  const other = of.filter(({ result }) => result.nuisance !== 'none').map(point);
  const values = of.flatMap(point);
  const span: [number, number] = [Math.min(-1, ...values) - 0.15, Math.max(0.5, ...values) + 0.15];
  const limits = agreement(of);
  const guide = (label: string, offset: number, kind: PlotSeries['kind']): PlotSeries => ({
    label,
    kind,
    colour: 4,
    points: [
      [Math.max(span[0], span[0] - offset), Math.max(span[0], span[0] + offset)],
      [Math.min(span[1], span[1] - offset), Math.min(span[1], span[1] + offset)],
    ],
  });
  return {
    title,
    xLabel: 'true volume change of the zone, mL',
    yLabel: 'measured, mL',
    x: span,
    y: span,
    series: [
      guide('no error', 0, 'line'),
      ...(limits
        ? [guide('95 % limits of agreement, below', limits.limits[0], 'dashes'), guide('and above', limits.limits[1], 'dashes')]
        : []),
      { label: 'with nuisance', kind: 'points', colour: 1, points: other },
      { label: 'same light, pose and face', kind: 'points', colour: 0, points: clean },
    ],
  };
}

function rocPlot(title: string, results: readonly CaseResult[]): Plot {
  const series = (
    [
      ['0.3 mL, clean', -0.3, 'none', 0, 'steps'],
      ['0.3 mL, nuisance', -0.3, 'all', 1, 'steps'],
      ['0.6 mL, nuisance', -0.6, 'all', 3, 'steps'],
      ['1.0 mL, nuisance', -1, 'all', 2, 'steps'],
    ] as const
  ).flatMap(([label, nominalMl, nuisance, colour, kind]): PlotSeries[] => {
    const positive = changedVolumes(
      results.filter((r) => r.group === 'one-zone' && r.nominalMl === nominalMl && r.nuisance === nuisance),
    ).filter(({ zone }) => MIDFACES.includes(zone));
    const negative = zoneVolumes(
      results.filter((r) => r.group === 'no-change' && r.nuisance === nuisance),
      (zone) => MIDFACES.includes(zone),
    );
    if (positive.length < 2 || negative.length < 2) return [];
    return [
      {
        label,
        kind,
        colour,
        points: rocCurve(positive.map(scoreOf), negative.map(scoreOf)).map(({ falseAlarms, found }) => [falseAlarms, found] as const),
      },
    ];
  });
  return { title, xLabel: 'false alarms', yLabel: 'found', x: [0, 1], y: [0, 1], series };
}

function diffusePlot(results: readonly CaseResult[]): Plot {
  const power = diffusePower(
    results.filter(({ group }) => group === 'diffuse'),
    results.filter(({ group, nuisance, concern }) => group === 'no-change' && nuisance === 'all' && concern.length > 0),
  );
  const curve = ({ changed, unchanged }: typeof power.pooledScores): [number, number][] =>
    changed.length && unchanged.length ? rocCurve(changed, unchanged).map(({ falseAlarms, found }) => [falseAlarms, found]) : [];
  return {
    title: '0.25 mL lost in each of six zones, frontal view',
    xLabel: 'false alarms',
    yLabel: 'found',
    x: [0, 1],
    y: [0, 1],
    series: [
      { label: 'pooled over the six', kind: 'steps', colour: 0, points: curve(power.pooledScores) },
      { label: 'best single zone', kind: 'steps', colour: 1, points: curve(power.zoneScores) },
    ],
  };
}

/** How measured values scatter where nothing changed, in standard deviations as stated, against the normal curve. */
function scatterPlot(results: readonly CaseResult[]): Plot {
  const z = (views: number): number[] =>
    zoneVolumes(results.filter((result) => result.group === 'no-change' && result.nuisance === 'all' && result.views === views))
      .map(({ volume }) => volume.value / volume.uNull)
      .sort((a, b) => a - b);
  const cumulative = (sorted: readonly number[]): [number, number][] =>
    sorted.map((value, i) => [Math.max(-4, Math.min(4, value)), (i + 1) / sorted.length]);
  const normal = Array.from({ length: 81 }, (_, k): [number, number] => [-4 + k / 10, normalShare(-4 + k / 10)]);
  return {
    title: 'Volume where nothing changed, over its stated error',
    xLabel: 'measured / standard deviation',
    yLabel: 'share of zones below',
    x: [-4, 4],
    y: [0, 1],
    series: [
      { label: 'normal, as stated', kind: 'dashes', colour: 4, points: normal },
      { label: 'frontal', kind: 'line', colour: 0, points: cumulative(z(1)) },
      { label: 'three views', kind: 'line', colour: 1, points: cumulative(z(3)) },
    ],
  };
}
