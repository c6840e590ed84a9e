/** Maps, legends, interval bars, fields as bytes, and the report as a page. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { changeMapRgba, overPicture } from '#lib/report/change-map.ts';
import { intervalSpan, intervalSvg } from '#lib/report/interval-svg.ts';
import { legendSvg } from '#lib/report/legend-svg.ts';
import { escapeText } from '#lib/report/markup.ts';
import { reportHtml } from '#lib/report/report-html.ts';
import { trustMapRgba } from '#lib/report/trust-map.ts';
import { zoneMapSvg } from '#lib/report/zone-map-svg.ts';
import { divergingRgb } from '#shared/diverging.ts';
import { DISPLACEMENT_STEP_MM, decodeField, encodeField } from '#shared/plate-fields.ts';
import { PLATE_FILE, type PlateInfo, plateFileHeaders, plateFileName } from '#shared/plates.ts';
import { incomparable, metric, sampleComparison } from './sample-comparison.ts';

const INFO: PlateInfo = {
  view: 'frontal',
  width: 400,
  height: 500,
  mmPerPx: 0.2,
  displacementSpanMm: 2,
  lightnessSpan: 5,
  zoneOutlines: { 'midface-left': [[200, 200, 300, 200, 300, 300, 200, 300]], forehead: [[100, 20, 300, 20, 300, 90]] },
};
const field = (values: number[], width: number) => ({
  width,
  height: values.length / width,
  field: Float32Array.from(values),
  zoneIndex: new Int8Array(values.length),
  trust: new Uint8Array(values.length).fill(255),
});

describe('law: the change map', () => {
  it('is clear at zero, blue at the loss end, red at the gain end, and symmetric about zero', () => {
    const rgba = changeMapRgba(field([0, -2, 2, -0.1, 0.1, 99], 3), 2);
    expect(rgba[3]).toBe(0);
    expect([...rgba.slice(4, 7)]).toEqual([...divergingRgb(-1)]);
    expect([...rgba.slice(8, 11)]).toEqual([...divergingRgb(1)]);
    expect(rgba[7]).toBe(rgba[11]);
    expect(rgba[15]).toBe(rgba[19]);
    expect(rgba[15]).toBeLessThan(rgba[7]!);
    expect([...rgba.slice(20, 24)]).toEqual([...rgba.slice(8, 12)]);
  });
  it('hatches what was not measured inside a zone, and leaves the rest of the picture clear', () => {
    const nothing = { ...field(Array<number>(10_000).fill(Number.NaN), 100) };
    const hatched = changeMapRgba(nothing, 1).filter((_, i) => i % 4 === 3);
    const share = hatched.filter((alpha) => alpha > 0).length / hatched.length;
    expect(share).toBeGreaterThan(0.15);
    expect(share).toBeLessThan(0.5);
    expect(changeMapRgba({ ...nothing, zoneIndex: new Int8Array(10_000).fill(-1) }, 1).some((value) => value !== 0)).toBe(false);
    const distrusted = { ...field(Array<number>(100).fill(1), 10), trust: new Uint8Array(100) };
    expect(
      changeMapRgba(distrusted, 1)
        .filter((_, i) => i % 4 === 3)
        .some((alpha) => alpha === 0),
    ).toBe(true);
  });
  it('over a picture keeps the picture, grey, where it is clear', () => {
    const rgb = new Uint8Array([10, 10, 10, 200, 100, 50]);
    const out = overPicture(rgb, changeMapRgba(field([0, 1], 2), 1));
    expect([...out.slice(0, 3)]).toEqual([10, 10, 10]);
    expect(out[3]).toBeGreaterThan(out[5]!);
    expect([...rgb]).toEqual([10, 10, 10, 200, 100, 50]);
  });
  it('throws when its parts do not fit', () => {
    expect(() => changeMapRgba({ ...field([0, 0], 2), trust: new Uint8Array(1) }, 1)).toThrow(RangeError);
    expect(() => changeMapRgba(field([0], 1), 0)).toThrow(RangeError);
  });
});

describe('law: fields as bytes', () => {
  it('come back to within half a step, and NaN as NaN', () => {
    fc.assert(
      fc.property(fc.float32Array({ min: -30, max: 30 }), (values) => {
        const back = decodeField(encodeField(values, DISPLACEMENT_STEP_MM), DISPLACEMENT_STEP_MM);
        const wrong = [...values].filter((value, i) =>
          Number.isNaN(value) ? !Number.isNaN(back[i]!) : Math.abs(back[i]! - value) > 0.5 * DISPLACEMENT_STEP_MM + 3e-6,
        );
        expect(wrong).toEqual([]);
      }),
    );
  });
  it('hold at the ends of the range', () => {
    expect([...decodeField(encodeField(Float32Array.from([1e9, -1e9, Infinity]), 0.001), 0.001)].map((v) => v.toFixed(3))).toEqual([
      '32.767',
      '-32.767',
      '32.767',
    ]);
    expect(() => decodeField(new Uint8Array(3), 1)).toThrow(RangeError);
  });
});

describe('law: file names of a plate', () => {
  it('are recognised, have headers, and nothing else is one', () => {
    const name = plateFileName('oblique-left', 'displacement');
    expect(name).toBe('oblique-left.displacement.i16.gz');
    expect(PLATE_FILE.test(name)).toBe(true);
    expect(plateFileHeaders(name)['Content-Encoding']).toBe('gzip');
    expect(
      ['frontal.before.jpg.exe', '../frontal.before.jpg', 'frontalxbefore.jpg', 'frontal.beforexjpg', ''].filter((text) =>
        PLATE_FILE.test(text),
      ),
    ).toEqual([]);
    expect(() => plateFileHeaders('x.exe')).toThrow(RangeError);
  });
});

describe('law: drawings', () => {
  it('the legend has zero in the middle and equal ends', () => {
    const svg = legendSvg({ span: 2, unit: 'mm', title: 'Displacement', ends: ['loss', 'gain'] });
    const ticks = [...svg.matchAll(/<text x="([\d.]+)" y="47"[^>]*>([^<]+)</g)].map((m) => [Number(m[1]), m[2]]);
    expect(ticks.map(([, text]) => text)).toEqual(['\u22122', '\u22121', '0', '+1', '+2']);
    expect(ticks[2]![0]).toBe(160);
  });
  it('an interval bar draws value and interval where they belong, whatever the numbers', () => {
    fc.assert(
      fc.property(fc.double({ min: -5, max: 5, noNaN: true }), fc.double({ min: 0.01, max: 2, noNaN: true }), (value, u) => {
        const row = metric(value, u, 0.5, 'within-error');
        const span = intervalSpan([row]);
        const svg = intervalSvg(row, span, 'a');
        const x = (v: number) => 4 + ((v / span + 1) / 2) * 212;
        expect(Math.abs(Number(/circle cx="([\d.]+)"/.exec(svg)![1]) - x(value))).toBeLessThan(0.01);
        expect(Math.abs(Number(/<line x1="([\d.]+)" x2="[\d.]+" y1="9"/.exec(svg)![1]) - x(row.ci95[0]))).toBeLessThan(0.01);
        expect(svg).not.toMatch(/NaN|undefined|-0"/);
      }),
    );
  });
  it('beyond error has another shape than within', () => {
    expect(intervalSvg(metric(-1, 0.1, 1e-9, 'beyond-error'), 2, 'a')).not.toContain('<circle');
    expect(intervalSvg(metric(-1, 0.1, 0.4, 'within-error'), 2, 'a')).toContain('<circle');
  });
  it('the zone map numbers the zones beyond error in table order, at their middle', () => {
    const svg = zoneMapSvg({
      info: INFO,
      imageHref: 'data:x',
      label: 'map',
      zones: [
        { zone: 'midface-left', finding: 'beyond-error' },
        { zone: 'forehead', finding: 'within-error' },
      ],
    });
    expect(svg).toMatch(/circle cx="250" cy="250"/);
    expect(svg.match(/<text/g)).toHaveLength(1);
    expect(svg.match(/<g>/g)).toHaveLength(2);
  });
});

describe('law: the report', () => {
  const pictures = {
    beforeAsTaken: new Uint8Array([1]),
    afterAsTaken: new Uint8Array([2]),
    before: new Uint8Array([3]),
    afterAligned: new Uint8Array([4]),
    afterRelit: new Uint8Array([5]),
    changePicture: new Uint8Array([6]),
    lightnessPicture: new Uint8Array([7]),
  };
  const html = reportHtml(sampleComparison(), { title: 'EBB <1> & "co"', views: [{ view: 'frontal', info: INFO, pictures }] });
  it('is whole, holds every zone, picture, hash and check, and no hole', () => {
    for (const bytes of Object.values(pictures)) expect(html).toContain(Buffer.from(bytes).toString('base64'));
    for (const text of [
      'a'.repeat(64),
      'b'.repeat(64),
      'c'.repeat(64),
      'd'.repeat(64),
      'The light comes from 6 degrees',
      'Keep the lamps',
      'Chin',
      'not assessable',
    ])
      expect(html).toContain(text);
    expect(html).not.toMatch(/undefined|NaN|\[object/);
  });
  it('escapes all that came from outside, and has no script and no outside address', () => {
    expect(html).toContain('EBB &lt;1&gt; &amp; &quot;co&quot;');
    expect(html).toContain('Camera &lt;One&gt;');
    expect(html).not.toMatch(/<script|javascript:|(?:src|href)="(?!data:)/i);
    expect(html).toContain("default-src 'none'");
    expect(escapeText(`<>&"'`)).toBe('&lt;&gt;&amp;&quot;&#39;');
  });
  it('is the same text each time', () => {
    expect(reportHtml(sampleComparison(), { title: 'EBB <1> & "co"', views: [{ view: 'frontal', info: INFO, pictures }] })).toBe(html);
  });
  it('of a refused pair gives reasons first and the pictures as taken', () => {
    const refused = reportHtml(incomparable(), {
      title: 'x',
      views: [{ view: 'frontal', info: null, pictures: { beforeAsTaken: new Uint8Array([1]) } }],
    });
    expect(refused.indexOf('Photograph both times from the same distance')).toBeLessThan(refused.indexOf('Before, as taken'));
    expect(refused).not.toContain('Where it changed');
  });
});

describe('law: the map of trust', () => {
  it('veils the zones by how little the light was trusted there, and nothing else', () => {
    const rgba = trustMapRgba(Int8Array.of(-1, 3, 3, 3), Uint8Array.of(0, 255, 128, 0));
    const opacity = [3, 7, 11, 15].map((at) => rgba[at]!);
    expect(opacity.slice(0, 2)).toEqual([0, 0]);
    expect(opacity[3]!).toBeGreaterThan(200);
    expect(opacity[2]! / opacity[3]!).toBeCloseTo(127 / 255, 2);
    expect(() => trustMapRgba(Int8Array.of(1), Uint8Array.of(1, 2))).toThrow(RangeError);
  });
});
