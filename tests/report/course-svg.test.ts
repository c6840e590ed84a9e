import { describe, expect, it } from 'vitest';
import { type CourseChart, courseSvg } from '#lib/report/course-svg.ts';

const chart: CourseChart = {
  summary: 'Midface, left: <loss> & recovery',
  dayWords: 'days since the treatment',
  baselineDay: -3,
  treatments: [{ day: 0, here: true }],
  waterLoss: [[0, 14]],
  without: [20],
  panels: [
    {
      title: 'Volume',
      unit: 'mL',
      decimals: 2,
      least: 0.5,
      dots: [
        { day: 4, value: -1.4, ci95: [-1.6, -1.2], untrusted: false },
        { day: 16, value: -0.7, ci95: [-0.9, -0.5], untrusted: true },
      ],
      curve: {
        points: [
          [0, -2],
          [8, -1],
          [30, -0.5],
        ],
        plateau: -0.45,
        ci95: [-0.7, -0.2],
      },
    },
  ],
};

describe('law', () => {
  it('is one whole SVG with its words made safe, and the same bytes every time', () => {
    const svg = courseSvg(chart);
    expect(svg).toMatch(/^<svg .*<\/svg>$/s);
    expect(svg).toContain('Midface, left: &lt;loss&gt; &amp; recovery');
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
    expect(courseSvg(chart)).toBe(svg);
  });

  it('shades the days of water loss, and says what each sign means', () => {
    const svg = courseSvg(chart);
    expect(svg).toContain('shaded: water loss expected');
    for (const words of ['open: not to be trusted', 'line: fitted recovery', 'dotted: treatment', 'cross: no number'])
      expect(svg).toContain(words);
    expect(courseSvg({ ...chart, waterLoss: [], treatments: [], without: [] })).not.toMatch(/water loss|dotted|cross:/);
  });

  it('draws later days further right and larger losses further down', () => {
    const dots = [...courseSvg(chart).matchAll(/<circle cx="([\d.]+)" cy="([\d.]+)"/g)].map(([, x, y]) => [Number(x), Number(y)]);
    expect(dots).toHaveLength(2);
    expect(dots[1]![0]).toBeGreaterThan(dots[0]![0]!);
    expect(dots[0]![1]).toBeGreaterThan(dots[1]![1]!);
  });

  it('keeps the axis to what was measured, however far the curve goes before the first follow-up', () => {
    const [panel] = chart.panels;
    const steep = {
      ...chart,
      panels: [{ ...panel!, curve: { ...panel!.curve!, points: [[0, -60], ...panel!.curve!.points.slice(1)] as const } }],
    };
    const dotsOf = (of: CourseChart) => [...courseSvg(of).matchAll(/<circle [^>]*>/g)].map(String);
    expect(dotsOf(steep)).toEqual(dotsOf(chart));
    expect(courseSvg(steep)).not.toContain('\u221260');
  });

  it('stands without any point', () => {
    expect(courseSvg({ ...chart, panels: [{ ...chart.panels[0]!, dots: [], curve: null }] })).not.toMatch(/NaN/);
  });
});
