import { describe, expect, it } from 'vitest';
import { reviewDays } from '#lib/series/review-days.ts';
import { USUAL_SETTINGS } from '#shared/practice.ts';

const { facts } = USUAL_SETTINGS;

describe('law', () => {
  it('counts the usual day 4 and again 4 days later from each dissolving treatment, over the end of a month', () => {
    expect(reviewDays([{ on: '2026-02-26', purpose: 'gel-dissolved' }], facts)).toEqual(['2026-03-02', '2026-03-06']);
  });

  it('leaves out a review that a later dissolving treatment overtakes, and treatments that dissolve nothing', () => {
    expect(
      reviewDays(
        [
          { on: '2026-03-01', purpose: 'gel-dissolved' },
          { on: '2026-03-06', purpose: 'gel-dissolved' },
          { on: '2026-03-07', purpose: 'gel-placed' },
        ],
        facts,
      ),
    ).toEqual(['2026-03-05', '2026-03-10', '2026-03-14']);
  });

  it('follows what the practice has set', () => {
    expect(reviewDays([{ on: '2026-03-01', purpose: 'gel-dissolved' }], { firstReviewDay: 7, reviewEveryDays: 21 })).toEqual([
      '2026-03-08',
      '2026-03-29',
    ]);
  });
});
