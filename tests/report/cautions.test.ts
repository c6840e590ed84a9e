/** What must be said beside a result is said, and only when it applies. */
import { describe, expect, it } from 'vitest';
import { cautionsFor } from '#shared/cautions.ts';
import { incomparable, sampleComparison } from './sample-comparison.ts';

const codes = (...args: Parameters<typeof cautionsFor>): string[] => cautionsFor(...args).map(({ code }) => code);
const ALWAYS = ['aid-not-diagnosis', 'cause-unknown', 'no-change-is-no-verdict', 'practitioner-decides', 'emergency', 'distress'];

describe('law', () => {
  it('six things are said on every comparison, also on a refused one', () => {
    expect(codes(sampleComparison()).slice(-6)).toEqual(ALWAYS);
    expect(codes(incomparable())).toEqual(ALWAYS);
  });
  it('each is one or more whole sentences, and no code comes twice', () => {
    const all = cautionsFor(
      { ...sampleComparison(), control: { trusted: false, statement: 'Forehead moved.' } },
      { daysSinceTreatment: 3 },
    );
    expect(all.filter(({ text }) => !/^[A-Z].*\.$/.test(text) || /undefined|NaN/.test(text))).toEqual([]);
    expect(new Set(all.map(({ code }) => code)).size).toBe(all.length);
  });
  it('inside two weeks it says so and offers the day from which it can be judged', () => {
    const early = cautionsFor(sampleComparison(), { daysSinceTreatment: 4 }).find(({ code }) => code === 'too-early')!;
    // After photographs of 20 November, four days after the treatment: judged from 30 November, two weeks after 16 November.
    expect(early.text).toContain('from 2026-11-30 on');
    expect(codes(sampleComparison(), { daysSinceTreatment: 13 })).toContain('too-early');
    expect(codes(sampleComparison(), { daysSinceTreatment: 14 })).not.toContain('too-early');
    expect(codes(sampleComparison())).not.toContain('too-early');
  });
  it('without a date in the file it counts days instead', () => {
    const comparison = sampleComparison();
    const undated = { ...comparison, inputs: comparison.inputs.map((input) => ({ ...input, facts: { ...input.facts, takenAt: null } })) };
    expect(cautionsFor(undated, { daysSinceTreatment: 13 }).find(({ code }) => code === 'too-early')!.text).toContain(
      'from 1 day after these photographs',
    );
  });
  it('an after photograph from before the treatment is called what it is', () => {
    expect(codes(sampleComparison(), { daysSinceTreatment: -2 })).toContain('after-precedes-treatment');
  });
  it('a failed control comes first of all', () => {
    expect(codes({ ...sampleComparison(), control: { trusted: false, statement: 'Forehead moved.' } })[0]).toBe('control-failed');
  });
  it('the iris scale states its uncertainty, and a measured one is not excused', () => {
    const comparison = sampleComparison();
    expect(cautionsFor(comparison).find(({ code }) => code === 'scale-from-iris')!.text).toMatch(/4\.3 %, every volume by 13 %/);
    expect(codes({ ...comparison, scale: { ...comparison.scale!, source: 'interpupillary' } })).not.toContain('scale-from-iris');
  });
});
