/** The surface as bytes, and the evidence of a zone as a figure, a sentence and a part of the report. */
import { describe, expect, it } from 'vitest';
import { EVIDENCE_WIDTH, evidenceSvg } from '#lib/report/evidence-svg.ts';
import { evidenceSentence, trustedShare } from '#lib/report/evidence-words.ts';
import { reportHtml } from '#lib/report/report-html.ts';
import { evidenceSchema } from '#shared/field.ts';
import { decodeSurface, encodeSurface } from '#shared/surface-bytes.ts';
import { incomparable, sampleComparison } from './sample-comparison.ts';
import { sampleEvidence, sampleEvidences, sampleField } from './sample-field.ts';

describe('law: a surface as bytes', () => {
  it('comes back as it went, to a micrometre of displacement', () => {
    const { surface } = sampleField();
    const back = decodeSurface(encodeSurface(surface));
    expect({ ...back, displacementMm: [] }).toEqual({ ...surface, displacementMm: [] });
    const offenders = [...surface.displacementMm].flatMap((mm, i) => (Math.abs(mm - back.displacementMm[i]!) > 0.0006 ? [i] : []));
    expect(offenders).toEqual([]);
    expect(new Set(surface.displacementMm).size).toBeGreaterThan(1);
  });
  it('is refused when it is cut, empty or something else', () => {
    const bytes = encodeSurface(sampleField().surface);
    for (const wrong of [bytes.slice(0, -1), bytes.slice(0, 7), new Uint8Array(0), new Uint8Array(400)])
      expect(() => decodeSurface(wrong)).toThrow(/no surface/);
  });
});

describe('law: evidence', () => {
  const evidence = sampleEvidence('midface-left', -1.4);
  const numbersOf = (path: string): number[] => (path.match(/-?\d+(\.\d+)?/g) ?? []).map(Number);
  const paths = (svg: string): string[] => [...svg.matchAll(/<path d="([^"]+)"/g)].map((match) => match[1]!);

  it('keeps to its schema', () => {
    const evidences = sampleEvidences([evidence]);
    expect(evidenceSchema.parse(JSON.parse(JSON.stringify(evidences)))).toEqual(evidences);
  });
  it('is drawn with every point inside the figure, the deepest point of the dip lowest and in the middle', () => {
    for (const peak of [-1.4, 0, 0.02, 3.7, -0.3]) {
      const svg = evidenceSvg(sampleEvidence('midface-left', peak));
      const height = Number(/viewBox="0 0 360 ([\d.]+)"/.exec(svg)![1]);
      const points = paths(svg).flatMap(numbersOf);
      expect(points.filter((_, i) => i % 2 === 0).every((x) => x >= 0 && x <= EVIDENCE_WIDTH)).toBe(true);
      expect(points.filter((_, i) => i % 2 === 1).every((y) => y >= 0 && y <= height)).toBe(true);
    }
    const depth = numbersOf(paths(evidenceSvg(evidence))[1]!).filter((_, i) => i % 2 === 1);
    expect(depth).toHaveLength(31);
    expect(depth.indexOf(Math.max(...depth))).toBe(15);
  });
  it('breaks a line where a sample was not seen, instead of drawing through', () => {
    const gap = { ...evidence, lightnessBefore: evidence.lightnessBefore.map((value, k) => (k === 12 ? null : value)) };
    expect(paths(evidenceSvg(gap))[2]!.match(/M/g)).toHaveLength(2);
    expect(paths(evidenceSvg(evidence))[2]!.match(/M/g)).toHaveLength(1);
  });
  it('is said with the numbers that are drawn', () => {
    const words = evidenceSentence(evidence);
    expect(words).toContain('−1.40 mm (95 % interval −1.62 to −1.18 mm), 15 mm along the line');
    expect(words).toContain('lightness there changed by up to −2.8 L*');
    expect(words).toContain('trusted on 90 % of the line');
    expect(trustedShare(evidence)).toBeCloseTo(28 / 31, 12);
  });
  it('says nothing of lightness where none was seen, and escapes nothing twice', () => {
    const unseen = { ...evidence, lightnessAfter: evidence.lightnessAfter.map(() => null) };
    expect(evidenceSentence(unseen)).not.toContain('lightness');
    expect(evidenceSvg(unseen)).not.toMatch(/NaN|undefined|null/);
  });
  it('stands in the report for each zone beyond error and for no other', () => {
    const comparison = sampleComparison();
    const beyond = comparison.zones.filter((zone) => zone.finding === 'beyond-error').map((zone) => zone.zone);
    expect(beyond.length).toBeGreaterThan(0);
    const evidences = sampleEvidences(comparison.zones.map(({ zone }) => sampleEvidence(zone, -1)));
    const html = reportHtml(comparison, { title: 'Case', views: [], evidence: evidences });
    expect(html.match(/class="evidence"/g)).toHaveLength(beyond.length);
    expect(reportHtml(incomparable(), { title: 'Case', views: [], evidence: null })).not.toContain('class="evidence"');
  });
});
