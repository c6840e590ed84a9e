/** What a complaint hides, which photographs it shows, and which zone a mark lies in. */
import { describe, expect, it } from 'vitest';
import type { Visit } from '#shared/case.ts';
import { facePhoto, sharedViews } from '#shared/complaint-photos.ts';
import { shownComparisons, withheldBy } from '#shared/withheld.ts';
import { zoneAt } from '#shared/zone-at.ts';
import { placeOutline, ZONE_OUTLINES } from '#shared/zone-outlines.ts';
import { ZONE_IDS } from '#shared/zones.ts';
import { LANDMARKS_PX } from '#tests/app/fixtures/scene.ts';

const id = (digit: string) => digit.repeat(32);
const complaint = (revealed: boolean) => ({
  id: id('9'),
  afterVisit: id('b'),
  stage: revealed ? ('revealed' as const) : ('rated' as const),
  revealed: revealed ? { at: '2026-11-20T10:00:00Z', comparison: id('1') } : null,
});
const pair = (beforeVisit: string, afterVisit: string) => ({ beforeVisit: id(beforeVisit), afterVisit: id(afterVisit) });

describe('law: what is withheld', () => {
  it('every comparison with the photographs complained of, until the reveal', () => {
    expect(withheldBy(pair('a', 'b'), [complaint(false)])?.id).toBe(id('9'));
    expect(withheldBy(pair('b', 'c'), [complaint(false)])?.id).toBe(id('9'));
    expect(withheldBy(pair('a', 'c'), [complaint(false)])).toBeNull();
    expect(withheldBy(pair('a', 'b'), [complaint(true)])).toBeNull();
    expect(shownComparisons([pair('a', 'b'), pair('a', 'c')], [complaint(true), complaint(false)])).toEqual([pair('a', 'c')]);
  });
});

const photo = (view: Visit['photos'][number]['view'], digit: string, chosen = true) => ({
  sha256: digit.repeat(64),
  name: `${view}.jpg`,
  view,
  takenAt: null,
  chosen,
});

describe('law: photographs', () => {
  it('a visit is known by its chosen frontal photograph, or else by the first view it has', () => {
    expect(facePhoto({ photos: [photo('oblique-left', '1'), photo('frontal', '2', false), photo('frontal', '3')] })?.sha256).toBe(
      '3'.repeat(64),
    );
    expect(facePhoto({ photos: [photo('lateral-left', '1'), photo('oblique-left', '2')] })?.view).toBe('oblique-left');
    expect(facePhoto({ photos: [] })).toBeNull();
  });
  it('only views that both visits have stand side by side', () => {
    const views = sharedViews(
      { photos: [photo('oblique-left', '1'), photo('frontal', '2')] },
      { photos: [photo('frontal', '3'), photo('lateral-left', '4')] },
    );
    expect(views.map(({ view, before, after }) => [view, before.sha256[0], after.sha256[0]])).toEqual([['frontal', '2', '3']]);
  });
});

describe('law: the zone under a mark', () => {
  it('is the zone whose outline encloses it', () => {
    const centres = ZONE_IDS.map((zone) => {
      const loop = placeOutline(ZONE_OUTLINES[zone], LANDMARKS_PX, 2);
      let [x, y] = [0, 0];
      for (let i = 0; i < loop.length; i += 2) {
        x += (2 * loop[i]!) / loop.length;
        y += (2 * loop[i + 1]!) / loop.length;
      }
      return [zone, zoneAt(x, y, LANDMARKS_PX)];
    });
    // The mean corner of a crescent can lie outside it.
    expect(centres.filter(([zone, found]) => zone !== found)).toEqual([]);
  });
  it('is none outside the face', () => {
    expect(zoneAt(2, 2, LANDMARKS_PX)).toBeNull();
  });
});
