/** Numbers, sentences, the order of zones, the terminal table and the CSV. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { byEvidence } from '#lib/report/by-evidence.ts';
import { comparisonTable } from '#lib/report/comparison-table.ts';
import { csvFromComparison, csvLine } from '#lib/report/csv.ts';
import { headline } from '#lib/report/headline.ts';
import { fieldSpan, niceSpan } from '#lib/report/span.ts';
import { textTable, wrap } from '#lib/report/text-table.ts';
import { METRIC_IDS } from '#shared/comparison.ts';
import { findingPhrase, findingSentence } from '#shared/finding-words.ts';
import { fixed, intervalText, METRIC_DECIMALS, metricText, probabilityText, signed } from '#shared/numbers.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { incomparable, metric, sampleComparison } from './sample-comparison.ts';

const zoneOf = (id: (typeof ZONE_IDS)[number]) => sampleComparison().zones.find((zone) => zone.zone === id)!;

describe('law: numbers', () => {
  it('have a true minus, a plus when asked, and no negative zero', () => {
    expect([fixed(-1.042, 2), signed(0.3, 2), signed(-0.004, 2), signed(0.004, 2), fixed(-0.5, 0)]).toEqual([
      '\u22121.04',
      '+0.30',
      '0.00',
      '0.00',
      '\u22121',
    ]);
    expect(metricText('volumeMl', -1.04)).toBe('\u22121.04\u00a0mL');
    expect(metricText('textureFineRatio', 1.2)).toBe('1.20');
    expect(metricText('shadowAreaMm2', 12.4)).toBe('+12\u00a0mm\u00b2');
    expect(intervalText('volumeMl', [-1.41, 0.02])).toBe('\u22121.41 to +0.02\u00a0mL');
    expect(Object.keys(METRIC_DECIMALS).sort()).toEqual([...METRIC_IDS].sort());
  });
  it('read back to within half a step', () => {
    fc.assert(
      fc.property(fc.double({ min: -1e6, max: 1e6, noNaN: true }), fc.integer({ min: 0, max: 4 }), (value, decimals) => {
        expect(Math.abs(Number(fixed(value, decimals).replace('\u2212', '-')) - value)).toBeLessThanOrEqual(
          0.5 * 10 ** -decimals * (1 + 1e-9) + 1e-9,
        );
      }),
    );
  });
  it('probabilities show what matters', () => {
    expect([1e-9, 0.0012, 0.0499, 0.5, 1].map(probabilityText)).toEqual(['<\u00a00.001', '0.001', '0.050', '0.50', '1.0']);
  });
  it('spans are round, reach the data and are the smallest of their kind', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 1000, noNaN: true }), (largest) => {
        const span = niceSpan(largest, 1e-4);
        expect(span).toBeGreaterThanOrEqual(largest * (1 - 1e-9));
        expect(span / largest).toBeLessThan(2.5 + 1e-9);
        expect('125').toContain(span.toExponential(0)[0]!);
      }),
    );
    expect([niceSpan(0, 0.5), niceSpan(1.2, 0.5), niceSpan(2, 0.5), niceSpan(0.3, 0.1)]).toEqual([0.5, 2, 2, 0.5]);
    expect(fieldSpan(new Float32Array([Number.NaN, Number.NaN]), 0.5)).toBe(0.5);
    expect(fieldSpan(new Float32Array([Number.NaN, -1.5, 0.2, 0.2]), 0.5)).toBe(2);
    // One wild pixel in a thousand does not stretch the scale; one in a hundred does.
    const calm = Float32Array.from({ length: 1000 }, (_, i) => (i % 100) / 100);
    expect(fieldSpan(calm.with(500, 900), 0.5)).toBe(1);
    expect(
      fieldSpan(
        calm.map((value, i) => (i % 100 === 7 ? -8 : value)),
        0.5,
      ),
    ).toBe(10);
  });
});

describe('law: findings in words', () => {
  it('a loss names amount, interval, detectable change and corrected probability', () => {
    const text = findingSentence(zoneOf('midface-left'));
    expect(text).toBe(
      'Midface, left: a loss of 1.04\u00a0mL (95 % interval of the change \u22121.41 to \u22120.67\u00a0mL). That is more than the smallest detectable change of ' +
        '0.53\u00a0mL, and p is <\u00a00.001 after correction over all zones.',
    );
    expect(findingPhrase(zoneOf('midface-left'))).toBe('loss beyond error');
  });
  it('a gain is never called a loss, and darker never lighter', () => {
    const zone = zoneOf('midface-left');
    const gain = {
      ...zone,
      metrics: { volumeMl: metric(1.04, 0.19, 1e-7, 'beyond-error'), lightnessDelta: metric(-3, 0.5, 1e-8, 'beyond-error') },
    };
    expect(findingPhrase(gain)).toBe('gain and darker, beyond error');
    expect(findingSentence(gain)).toMatch(/a gain of 1\.04.*darker by 3\.0/);
    expect(findingSentence(gain)).not.toMatch(/loss|lighter/);
  });
  it('within error says what could not have been seen', () => {
    expect(findingSentence(zoneOf('infraorbital-left'))).toMatch(
      /no change beyond error\. Measured \u22120\.21.*less than 0\.33\u00a0mL cannot be told from error/,
    );
  });
  it('not assessable says why', () => {
    expect(findingSentence(zoneOf('jawline-right'))).toBe(
      'Jawline, right: not assessable. Hair covers most of the zone in the after photograph.',
    );
    expect(findingPhrase(zoneOf('jawline-right'))).toBe('not assessable');
  });
  it('every zone and every finding gets a whole sentence', () => {
    const broken = sampleComparison()
      .zones.map(findingSentence)
      .filter((text) => !/^[A-Z].*\.$/.test(text) || /undefined|NaN/.test(text));
    expect(broken).toEqual([]);
  });
});

describe('law: the order of zones', () => {
  it('is a permutation, beyond error first, not assessable last, and leaves its input alone', () => {
    const zones = Object.freeze(sampleComparison().zones) as ReturnType<typeof sampleComparison>['zones'];
    const sorted = byEvidence(zones);
    expect([...sorted].map((zone) => zone.zone).sort()).toEqual([...ZONE_IDS].sort());
    expect(sorted.slice(0, 3).map((zone) => zone.zone)).toEqual(['midface-left', 'midface-right', 'infraorbital-left']);
    expect(sorted.at(-1)?.zone).toBe('jawline-right');
  });
  it('does not depend on the order it was given', () => {
    const zones = sampleComparison().zones;
    expect(byEvidence([...zones].reverse())).toEqual(byEvidence(zones));
  });
});

describe('law: the headline', () => {
  it('counts and names what changed', () => {
    expect(headline(sampleComparison())).toBe(
      '2 of 24 zones assessed changed by more than error: Midface left (loss), Midface right (loss).',
    );
  });
  it('says when only the pooled test speaks', () => {
    const comparison = sampleComparison();
    const zones = comparison.zones.map((zone) => ({ ...zone, finding: zone.assessable ? ('within-error' as const) : zone.finding }));
    expect(headline({ ...comparison, zones })).toMatch(/^No zone changed.*Taken together, however/);
    expect(headline({ ...comparison, zones, pooled: { ...comparison.pooled!, finding: 'within-error' } })).toMatch(
      /Nor did the zones of concern taken together/,
    );
  });
  it('warns when the control failed, and says when nothing was measured', () => {
    expect(headline({ ...sampleComparison(), control: { trusted: false, statement: '' } })).toMatch(/cannot be trusted/);
    expect(headline(incomparable())).toMatch(/not comparable/);
  });
});

describe('law: the table for a terminal', () => {
  it('holds every zone once, its columns lined up', () => {
    const lines = comparisonTable(sampleComparison()).split('\n');
    const head = lines.findIndex((line) => line.includes('Volume mL'));
    const rows = lines.slice(head + 2, head + 2 + ZONE_IDS.length);
    expect(rows[0]).toMatch(
      /\u25c6\s+Midface, left\s+\u22121\.04\s+\u22121\.41 to \u22120\.67\s+0\.53\s+\u22120\.4\s+< 0\.001\s+loss beyond error/,
    );
    const finding = lines[head]!.indexOf('Finding');
    expect(rows.filter((row) => !/^(loss|within|not)/.test([...row].slice(finding).join('')))).toEqual([]);
  });
  it('names reasons and advice when not comparable, and no zone', () => {
    const text = comparisonTable(incomparable());
    expect(text).toMatch(/Why not\n\u2022 The camera was 20 cm away.*Photograph both times from the same distance\./s);
    expect(text).not.toContain('Volume mL');
  });
  it('pads by characters and wraps between words', () => {
    expect(
      textTable(
        [
          { head: 'a', align: 'right' },
          { head: 'b', align: 'left' },
        ],
        [
          ['\u22121', 'x'],
          ['10', 'yy'],
        ],
      ),
    ).toEqual([' a  b', '\u2500\u2500  \u2500\u2500', '\u22121  x', '10  yy']);
    expect(() => textTable([{ head: 'a', align: 'left' }], [['1', '2']])).toThrow(RangeError);
    fc.assert(
      fc.property(fc.array(fc.stringMatching(/^[a-z]{1,9}$/), { minLength: 1 }), (words) => {
        const lines = wrap(words.join(' '), 20, '  ');
        expect(lines.map((line) => line.slice(2)).join(' ')).toBe(words.join(' '));
        expect(lines.filter((line) => line.length > 20)).toEqual([]);
      }),
    );
  });
});

describe('oracle: RFC 4180', () => {
  it('quotes what needs it, doubles quotes, ends lines with CRLF', () => {
    expect(csvLine(['a,b', 'say "no"', 'two\nlines', null, 1.5, true])).toBe('"a,b","say ""no""","two\nlines",,1.5,true\r\n');
  });
  it('defuses what a spreadsheet would run, and leaves numbers alone', () => {
    expect(csvLine(['=1+1', '@x', -1.5])).toBe("'=1+1,'@x,-1.5\r\n");
  });
  it('a comparison has one row for each zone and metric, and a zone without metrics keeps its reason', () => {
    const lines = csvFromComparison(sampleComparison()).split('\r\n');
    expect(lines.length).toBe(1 + 27 * 2 + 1 + 1);
    const width = lines[0]!.split(',').length;
    expect(lines.slice(0, -1).filter((line) => line.split(',').length !== width)).toEqual([]);
    expect(lines.find((line) => line.startsWith('jawline-right'))).toMatch(/^jawline-right,false,false,Hair covers most of the zone/);
    expect(lines.find((line) => line.startsWith('midface-left') && line.includes('volumeMl'))).toContain(',mL,-1.04,0.19,');
  });
});
