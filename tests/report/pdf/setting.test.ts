/** Setting text and drawings: nothing lost, nothing beyond the width, nothing unseen. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { printable, REPLACEMENT } from '#lib/report/pdf/printable.ts';
import { parseSvg, viewBoxOf } from '#lib/report/pdf/svg-parse.ts';
import { colourOf, FIRST_STYLE, lengthOf, styleOf } from '#lib/report/pdf/svg-style.ts';
import { textOf } from '#lib/report/pdf/svg-text.ts';
import { transformOf } from '#lib/report/pdf/svg-transform.ts';
import { wrapRuns } from '#lib/report/pdf/wrap-runs.ts';
import { writePdf } from '#lib/report/pdf/write-pdf.ts';

const all = () => true;
const measure = (text: string): number => [...text].length;

describe('law: lines', () => {
  it('are no wider than their column, and lose no sign', () => {
    const run = fc.record({ text: fc.stringMatching(/^[a-z ]{0,60}$/), bold: fc.boolean() });
    fc.assert(
      fc.property(fc.array(run, { minLength: 1, maxLength: 5 }), fc.integer({ min: 1, max: 30 }), (runs, width) => {
        const lines = wrapRuns(runs, width, measure);
        const said = lines.map(({ pieces }) => pieces.map(({ text }) => text).join(''));
        const squeeze = (text: string): string => text.replaceAll(' ', '');
        return lines.every((line) => line.width <= width) && squeeze(said.join('')) === squeeze(runs.map(({ text }) => text).join(''));
      }),
    );
  });

  it('break at spaces where they can, and keep the space for who listens', () => {
    expect(wrapRuns([{ text: 'one two three' }], 8, measure).map(({ pieces }) => pieces[0]!.text)).toEqual(['one two ', 'three']);
    expect(wrapRuns([{ text: 'abcdefgh' }], 3, measure).map(({ pieces }) => pieces[0]!.text)).toEqual(['abc', 'def', 'gh']);
    expect(wrapRuns([{ text: '' }], 3, measure)).toHaveLength(1);
  });
});

describe('law: printable text', () => {
  it('keeps Latin, Greek, Cyrillic and the signs of findings', () => {
    const text =
      'Zo\u00eb \u0141 \u0396\u03c9\u03ae \u041d\u0430\u0442\u0430\u043b\u044c\u044f \u25c6 \u25cb \u2212 \u2264 \u00d7 \u221a \u2713 \u2019';
    expect(printable(text, all)).toBe(text);
    expect(printable('e\u0301', all)).toBe('\u00e9');
  });

  it('shows what it can not set, takes away what turns text around, and never gives back another sign', () => {
    expect(printable('\u5229\u05e9\u{1f600}', all)).toBe(REPLACEMENT.repeat(3));
    expect(printable('a\u202eb\u200bc\u0007', all)).toBe(`abc${REPLACEMENT}`);
    expect(printable('a\n\tb', all)).toBe('a b');
    expect(printable('abc', (codePoint) => codePoint !== 98)).toBe(`a${REPLACEMENT}c`);
    fc.assert(fc.property(fc.string({ unit: 'grapheme' }), (text) => !/[\p{Cc}\u202a-\u202e\u2066-\u2069]/u.test(printable(text, all))));
  });
});

describe('law: drawings', () => {
  it('are read as they are written', () => {
    const svg = parseSvg(
      `<?xml version="1.0"?><!-- a --><svg viewBox="0 1 2 3"><g a='1 &amp; 2'><text>x &lt; &#x3b1;<tspan dy="1em">y</tspan></text></g><path d="M0 0"/></svg>`,
    );
    expect(viewBoxOf(svg)).toEqual({ x: 0, y: 1, width: 2, height: 3 });
    const group = svg.children[0] as ReturnType<typeof parseSvg>;
    expect(group.attributes.a).toBe('1 & 2');
    const [text] = group.children as ReturnType<typeof parseSvg>[];
    expect(textOf(text!, FIRST_STYLE).map(({ text: words, y }) => [words, y])).toEqual([
      ['x < \u03b1', 0],
      ['y', 12],
    ]);
  });

  it('move as CSS Transforms says: the rightmost first', () => {
    const apply = ([a, b, c, d, e, f]: number[], [x, y]: number[]): number[] => [a! * x! + c! * y! + e!, b! * x! + d! * y! + f!];
    const [x, y] = apply(transformOf('translate(10 20) scale(2) rotate(90)'), [1, 0]);
    expect(x).toBeCloseTo(10, 12);
    expect(y).toBeCloseTo(22, 12);
    const around = apply(transformOf('rotate(180, 5, 5)'), [4, 5]);
    expect(around[0]).toBeCloseTo(6, 12);
    expect(around[1]).toBeCloseTo(5, 12);
  });

  it('inherit what is handed down, and multiply what is not', () => {
    const svg = parseSvg(
      '<svg width="1" height="1" fill="currentColor" style="color: #123456; opacity: .5"><g opacity="0.5" font-size="2em" stroke="rgb(1, 2, 255)"/></svg>',
    );
    const outer = styleOf(svg, FIRST_STYLE);
    const inner = styleOf(svg.children[0] as never, outer);
    expect(inner).toMatchObject({ fill: '#123456', opacity: 0.25, fontSize: 24, stroke: '#0102ff' });
    expect([colourOf('none', '#000000'), colourOf('#abc', ''), lengthOf('0.32em', 10, 0)]).toEqual([null, '#aabbcc', 3.2]);
  });
});

describe('refusal', () => {
  const draw = (svg: string) =>
    writePdf({
      title: 't',
      running: 'r',
      footing: 'f',
      draft: null,
      madeAt: '2026-01-01T00:00:00Z',
      blocks: [{ kind: 'figures', figures: [{ picture: { svg, alt: 'a' } }] }],
    });

  it('throws for a drawing that is not well formed, or holds what it can not draw, instead of leaving it out', async () => {
    for (const bad of [
      '<svg width="1" height="1"><g></svg>',
      '<svg width="1" height="1">',
      '<p/>',
      '<svg width="1" height="1"><g a=1/></svg>',
    ])
      expect(() => parseSvg(bad)).toThrow(SyntaxError);
    await expect(draw('<svg width="9" height="9"><foreignObject/></svg>')).rejects.toThrow('foreignObject');
    await expect(draw('<svg width="9" height="9"><image href="https://example.org/a.jpg"/></svg>')).rejects.toThrow('not a JPEG within it');
    await expect(draw('<svg width="9" height="9"><rect width="3" height="3" fill="chartreuse"/></svg>')).rejects.toThrow('chartreuse');
    expect(() => transformOf('skewX(3)')).toThrow(RangeError);
  });

  it('throws for a report that was made at no time', async () => {
    await expect(writePdf({ title: 't', running: '', footing: '', draft: null, madeAt: 'today', blocks: [] })).rejects.toThrow('ISO 8601');
  });
});
