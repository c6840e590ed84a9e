/** What is said of a set-up: in a table, in an option, beside a result. */
import { describe, expect, it } from 'vitest';
import { setUpUse } from '#lib/compare/set-up.ts';
import { comparisonTable } from '#lib/report/comparison-table.ts';
import { errorSourceWords } from '#lib/report/error-source.ts';
import { setUpTable } from '#lib/report/set-up-table.ts';
import { setUpWords } from '#lib/report/set-up-words.ts';
import { setUpStatistics } from '#lib/series/set-up-statistics.ts';
import { cautionsFor } from '#shared/cautions.ts';
import type { SetUpProfile } from '#shared/set-up-profile.ts';
import { inZones, sampleSetUp } from '#tests/series/sample-set-up.ts';
import { sampleComparison } from './sample-comparison.ts';

const own = () => ({ ...sampleComparison(), errorSource: 'own-repeats' as const, parameters: { setUp: setUpUse(sampleSetUp()) } });

describe('law: words', () => {
  it('name the set-up, its pairs and people', () => {
    expect(setUpWords(sampleSetUp())).toBe('Room 2, 3 pairs of 3 people');
    expect(setUpWords({ name: 'Attic', pairs: 1, people: 1 })).toBe('Attic, 1 pair of 1 person');
    expect(errorSourceWords(own())).toBe('from repeated photographs of your own set-up: Room 2, 3 pairs of 3 people, measured 2026-11-20');
    expect(errorSourceWords(sampleComparison())).toMatch(/validation/);
    expect(comparisonTable(own()).replace(/\s+/g, ' ')).toContain('Standard errors from repeated photographs of your own set-up: Room 2');
  });
  it('the table states numbers of people and pairs, the formula, and why there is no ICC', () => {
    const table = setUpTable(sampleSetUp());
    expect(table).toMatch(/^Set-up "Room 2", 2026-11-20: 3 pairs of repeated photographs of 3 people\./);
    expect(table).toContain('1.96 x root 2 x SEM');
    expect(table).toMatch(/ICC\(2,1\) is not given/);
    expect(table).toMatch(/fewer than 30 pairs/);
    expect(table.split('\n').filter((line) => [...line].length > 130)).toEqual([]);
  });
  it('the table gives the ICC with its interval where there is one', () => {
    const changes = [-1, -0.4, 0].flatMap((change, person) =>
      [0, 1].map((reading) => ({ person, reading, readings: inZones(['chin'], change + (reading * (person + 1)) / 8) })),
    );
    const repeats = [{ person: 0, first: 0, second: 1, readings: inZones(['chin'], 0.02) }];
    expect(setUpTable(sampleSetUp(setUpStatistics(repeats, changes)))).toMatch(
      /Chin .* 0\.\d\d \(−?\d\.\d\d to \d\.\d\d\)[\s\S]*two-way random effects/,
    );
  });
});

describe('law: cautions of a set-up', () => {
  const comparison = own();
  const fitting: Partial<SetUpProfile> = {
    pairs: 30,
    cameras: [comparison.inputs[0]!.facts.camera!],
    versions: comparison.versions,
    scaleSource: comparison.scale!.source,
  };
  const codes = (part: Partial<SetUpProfile>): string[] =>
    cautionsFor(comparison, { setUp: sampleSetUp({ ...fitting, ...part }) })
      .map(({ code }) => code)
      .filter((code) => /set-up|repeats|validation/.test(code));
  it('none when it fits', () => expect(codes({})).toEqual([]));
  it('few repeats, another camera, another version, another scale: each is said', () => {
    expect(codes({ pairs: 29 })).toEqual(['few-repeats']);
    expect(codes({ cameras: ['Another'] })).toEqual(['other-set-up']);
    expect(codes({ cameras: [] })).toEqual([]);
    expect(codes({ versions: { ...comparison.versions, ebbline: '0.0.9' } })).toEqual(['older-set-up']);
    expect(codes({ versions: { ...comparison.versions, models: { face: 'e'.repeat(64) } } })).toEqual(['older-set-up']);
    expect(codes({ scaleSource: 'marker' })).toEqual(['set-up-scale']);
  });
  it('are whole sentences', () => {
    const texts = cautionsFor(comparison, { setUp: sampleSetUp({ cameras: ['Another'], scaleSource: 'marker' }) }).map(({ text }) => text);
    expect(texts.filter((text) => !/^[A-Z].*\.$/.test(text) || /undefined|NaN/.test(text))).toEqual([]);
  });
});
