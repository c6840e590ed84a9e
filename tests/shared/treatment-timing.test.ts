/** Reviews come before another treatment or a refill: common practice, warned of and never forbidden. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addDays } from '#shared/days.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';
import { reviewDays, timingWarnings } from '#shared/treatment-timing.ts';

const { facts } = USUAL_SETTINGS;
const dissolved = { on: '2026-11-16', zones: ['chin' as const, 'midface-left' as const], purpose: 'gel-dissolved' as const };
const warn = (on: string, purpose: 'gel-dissolved' | 'gel-placed' | 'energy-device' | 'gel-pressed-out', zones = ['chin' as const]) =>
  timingWarnings({ on, zones, purpose }, [dissolved], facts).map(({ text }) => text);

describe('law', () => {
  it('day 4, and again 4 days later', () => {
    expect(reviewDays('2026-11-16', facts)).toEqual(['2026-11-20', '2026-11-24']);
  });
  it('enzyme again before the first review is warned of, from then on not', () => {
    expect(warn('2026-11-19', 'gel-dissolved')).toEqual([
      'Chin: enzyme was given on 2026-11-16. The first review is on 2026-11-20, and only then is it decided whether to treat again or wait.',
    ]);
    expect(warn('2026-11-20', 'gel-dissolved')).toEqual([]);
  });
  it('a refill waits for both reviews', () => {
    expect(warn('2026-11-23', 'gel-placed')).toEqual([
      expect.stringMatching(/Refilling waits for the reviews on 2026-11-20 and 2026-11-24/),
    ]);
    expect(warn('2026-11-24', 'gel-placed')).toEqual([]);
  });
  it('other zones, other purposes and earlier days are not warned of', () => {
    expect(timingWarnings({ on: '2026-11-17', zones: ['glabella'], purpose: 'gel-dissolved' }, [dissolved], facts)).toEqual([]);
    expect([
      ...warn('2026-11-17', 'energy-device'),
      ...warn('2026-11-17', 'gel-pressed-out'),
      ...warn('2026-11-10', 'gel-dissolved'),
    ]).toEqual([]);
  });
  it('follows the practice\u2019s own days, whatever they are', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 1, max: 60 }),
        fc.integer({ min: 0, max: 130 }),
        (first, every, day) => {
          const own = { ...facts, firstReviewDay: first, reviewEveryDays: every };
          const again = (purpose: 'gel-dissolved' | 'gel-placed') =>
            timingWarnings({ on: addDays(dissolved.on, day), zones: ['chin'], purpose }, [dissolved], own).length;
          expect(again('gel-dissolved')).toBe(day < first ? 1 : 0);
          expect(again('gel-placed')).toBe(day < first + every ? 1 : 0);
        },
      ),
    );
  });
});
