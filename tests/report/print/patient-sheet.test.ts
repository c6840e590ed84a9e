/** The patient's sheet: one page whatever the input, plain words, and never more than the findings say. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Block, Words } from '#lib/report/pdf/blocks.ts';
import { plainOf } from '#lib/report/pdf/wrap-runs.ts';
import { patientSheet, type SheetContent, sheetReport } from '#lib/report/print/patient-sheet.ts';
import { plainChange, plainDay, plainZone } from '#lib/report/print/plain-words.ts';
import { DRAFT_WORDS } from '#lib/report/print/stamp.ts';
import { NEXT_STEPS } from '#shared/case.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { hasReaders, infoOf, pageWords } from '#tests/report/pdf/pdf-reader.ts';
import { incomparable, metric, sampleComparison } from '#tests/report/sample-comparison.ts';
import { fleschKincaidGrade, syllables } from './readability.ts';
import { everythingChanged, SIGNED, sampleStamp, sampleSubject } from './sample-report.ts';

const { facts } = USUAL_SETTINGS;
const EARLY = sampleSubject({
  treatments: [{ on: '2026-11-17', purpose: 'gel-dissolved', zones: ['midface-left'], productClass: null, volumeMl: null }],
});
const sheet = (changes: Partial<SheetContent> = {}): SheetContent => ({
  subject: sampleSubject(),
  comparison: sampleComparison(),
  conclusion: null,
  facts,
  ...changes,
});
const wordsOf = (blocks: readonly Block[]): string[] =>
  blocks.flatMap((block) => {
    if (block.kind === 'heading') return [block.text];
    if (block.kind === 'paragraph') return [plainOf(block.words)];
    if (block.kind === 'list') return block.items.map((item: Words) => plainOf(item));
    return block.kind === 'box' ? wordsOf(block.blocks) : [];
  });
const textOf = (content: SheetContent): string => wordsOf(sheetReport(content, sampleStamp()).blocks).join('\n');
const LONGEST = sheet({
  subject: { ...EARLY, name: 'W'.repeat(120) },
  comparison: everythingChanged(),
  conclusion: { steps: [...NEXT_STEPS], reviewOn: '2026-12-30', note: 'x'.repeat(4000) },
  facts: { ...facts, waterLossDays: 115 },
});
const untrusted = { ...sampleComparison(), control: { trusted: false, statement: 'The forehead changed.' } };
const none = {
  ...sampleComparison(),
  zones: sampleComparison().zones.map((zone) => (zone.finding === 'beyond-error' ? { ...zone, finding: 'within-error' as const } : zone)),
};
const EVERY = [
  sheet(),
  sheet({ subject: EARLY }),
  LONGEST,
  sheet({ comparison: incomparable() }),
  sheet({ comparison: untrusted }),
  sheet({ comparison: none }),
];

describe('law', () => {
  it('stays on one page for the longest input, in print of 12 pt at least', async () => {
    const longest = await patientSheet(
      LONGEST,
      sampleStamp({ signed: { by: 'W'.repeat(120), at: SIGNED.at }, practiceName: 'P'.repeat(120) }),
    );
    expect(longest.pages).toBe(1);
    for (const content of EVERY) expect((await patientSheet(content, sampleStamp())).pages).toBe(1);
  });

  it('has a plain name for every zone, without the words of the trade', () => {
    const trade = /infraorbital|midface|submalar|nasolabial|philtrum|vermilion|commissure|marionette|prejowl|glabella|dorsum|mL|L\*|95 %/;
    expect(ZONE_IDS.map(plainZone).filter((name) => trade.test(name))).toEqual([]);
    expect(new Set(ZONE_IDS.map(plainZone)).size).toBe(ZONE_IDS.length);
    for (const content of EVERY) expect(textOf(content)).not.toMatch(trade);
  });

  it('never says that nothing changed, and always that a small change can still be there', () => {
    for (const content of EVERY) expect(textOf(content)).not.toMatch(/no change\b|nothing changed|unchanged|is the same|stayed/i);
    for (const content of [sheet(), sheet({ subject: EARLY }), sheet({ comparison: none })])
      expect(textOf(content)).toContain('A small change can still be there');
  });

  it('always tells of the emergency, and that it is no diagnosis', () => {
    for (const content of EVERY) {
      expect(textOf(content)).toMatch(/turns white or blotchy.*emergency/);
      expect(textOf(content)).toContain('does not say what you have or why');
    }
  });

  it('names what is beyond error and nothing else', () => {
    fc.assert(
      fc.property(fc.array(fc.boolean(), { minLength: ZONE_IDS.length, maxLength: ZONE_IDS.length }), (which) => {
        const zones = sampleComparison().zones.map((zone, k) => ({
          ...zone,
          reference: false,
          assessable: true,
          finding: which[k] ? ('beyond-error' as const) : ('within-error' as const),
          metrics: { volumeMl: metric(which[k] ? -1 : 0, 0.2, which[k] ? 1e-6 : 0.9, which[k] ? 'beyond-error' : 'within-error') },
        }));
        const items = textOf(sheet({ comparison: { ...sampleComparison(), zones } }))
          .split('\n')
          .filter((line) => line.endsWith(': less full'));
        const changed = zones.filter(({ finding }) => finding === 'beyond-error');
        const names = changed.map(({ zone }) => plainZone(zone).toLowerCase());
        return (
          items.length === Math.min(5, changed.length) &&
          items.every((item) => names.includes(item.replace(': less full', '').toLowerCase()))
        );
      }),
      { numRuns: 60 },
    );
    expect(
      plainChange({ metrics: { volumeMl: metric(1, 0.1, 0, 'beyond-error'), lightnessDelta: metric(-3, 0.1, 0, 'beyond-error') } }),
    ).toBe('fuller and darker');
  });

  it('asks back on the first review day that is still to come, or the day agreed', () => {
    // Treated on the 17th: reviews on days 4, 8, 12; the after photographs are of the 20th.
    expect(textOf(sheet({ subject: EARLY }))).toContain('Please come back on 21 November 2026');
    expect(textOf(sheet({ subject: EARLY }))).toContain('judged from 1 December 2026 on');
    expect(textOf(LONGEST)).toContain('Please come back on 30 December 2026.');
    expect(textOf(sheet())).not.toContain('It is early');
    expect(plainDay('2026-02-01')).toBe('1 February 2026');
  });

  it.skipIf(!hasReaders)('carries draft and name only when it should (skipped without poppler-utils and qpdf)', async () => {
    const draft = await patientSheet(sheet(), sampleStamp());
    expect(pageWords(draft.bytes)[0]).toContain(DRAFT_WORDS);
    const signed = await patientSheet(sheet({ subject: sampleSubject({ name: 'Grace Hopper' }) }), sampleStamp({ signed: SIGNED }));
    expect(pageWords(signed.bytes)[0]).not.toContain(DRAFT_WORDS);
    expect(pageWords(signed.bytes)[0]).toContain('Grace Hopper');
    expect(infoOf(signed.bytes).Tagged).toBe('yes');
  });
});

describe('oracle: Kincaid et al. 1975', () => {
  it('counts syllables as people do', () => {
    const counted = { face: 1, photographs: 3, changed: 1, emergency: 4, injection: 3, little: 2, skin: 1, hollow: 2, eye: 1 };
    expect(Object.fromEntries(Object.keys(counted).map((word) => [word, syllables(word)]))).toEqual(counted);
  });

  it('asks for no more schooling than a child of twelve has: grade 7', () => {
    for (const content of EVERY) expect(fleschKincaidGrade(textOf(content).split('\n'))).toBeLessThan(7);
    const trade = [
      'Midface, left: a loss of 1.04 mL (95 % interval of the change). That is more than the smallest detectable change, and probability is significant after correction over all assessable anatomical regions.',
    ];
    expect(fleschKincaidGrade(trade)).toBeGreaterThan(9);
  });
});
