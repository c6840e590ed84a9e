import { describe, expect, it } from 'vitest';
import {
  boardOf,
  changeImport,
  daysToSend,
  type ImportCard,
  type Importing,
  newImportCard,
  openImportJobs,
} from '#app/_case/import-cards.ts';
import type { JobNews } from '#shared/job-news.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';
import { checkOf } from '#tests/app/fixtures/stand-in-runner.ts';

const HASH = (n: number) => String(n).padStart(64, '0');
const checked = (n: number, name: string, change: Partial<PhotoCheck> = {}): ImportCard => {
  const check = { ...checkOf(HASH(n), name), ...change };
  return newImportCard(`k${n}`, name, {
    stage: 'judged',
    sha256: HASH(n),
    check,
    on: check.facts.takenAt?.slice(0, 10) ?? null,
    view: check.view,
  });
};
const news = (id: string, part: Partial<JobNews>): JobNews => ({
  id,
  kind: 'check',
  state: 'running',
  step: '',
  fraction: 0.5,
  stopAsked: false,
  fault: null,
  check: null,
  ...part,
});
const played = (cards: Importing, ...changes: Parameters<typeof changeImport>[1][]) => changes.reduce(changeImport, cards);

describe('law', () => {
  it('walks a file from its choosing to a day and a view', () => {
    const check = checkOf(HASH(1), '2026-03-05 oblique.jpg');
    const cards = played(
      [],
      { do: 'add', cards: [newImportCard('a', '2026-03-05 oblique.jpg')] },
      { do: 'sending', key: 'a', share: 0.4 },
      { do: 'stored', key: 'a', sha256: HASH(1), inCase: false },
      { do: 'asked', key: 'a', job: 'j' },
      { do: 'news', news: news('j', {}) },
    );
    expect(openImportJobs(cards)).toEqual(['j']);
    const done = played(cards, { do: 'news', news: news('j', { state: 'done', check }) });
    expect(openImportJobs(done)).toEqual([]);
    expect(daysToSend(boardOf(done))).toEqual([
      {
        on: '2026-03-05',
        photos: [{ sha256: HASH(1), name: '2026-03-05 oblique.jpg', view: 'oblique-left', takenAt: '2026-03-05T09:40:00' }],
      },
    ]);
  });

  it('leaves out what is in the case already, and the same file once more', () => {
    const start = [newImportCard('a', 'a.jpg'), newImportCard('b', 'b.jpg'), newImportCard('c', 'c.jpg')];
    const cards = played(
      start,
      { do: 'stored', key: 'a', sha256: HASH(1), inCase: true },
      { do: 'stored', key: 'b', sha256: HASH(2), inCase: false },
      { do: 'stored', key: 'c', sha256: HASH(2), inCase: false },
    );
    expect(boardOf(cards).twins.map(({ key, twin }) => [key, twin])).toEqual([
      ['a', 'case'],
      ['c', 'here'],
    ]);
    expect(boardOf(cards).underWay.map(({ key }) => key)).toEqual(['b']);
  });

  it('keeps the one listed first of the same file twice, though the other was sent sooner', () => {
    const check = checkOf(HASH(2), '2026-03-05.jpg');
    const cards = played(
      [newImportCard('a', 'a.jpg'), newImportCard('b', 'b.jpg')],
      { do: 'stored', key: 'b', sha256: HASH(2), inCase: false },
      { do: 'stored', key: 'a', sha256: HASH(2), inCase: false },
      // The check of b, asked for before a came, is answered after it.
      { do: 'asked', key: 'b', job: 'j' },
      { do: 'news', news: news('j', { state: 'done', check }) },
    );
    expect(boardOf(cards).twins.map(({ key }) => key)).toEqual(['b']);
    expect(daysToSend(boardOf(cards))[0]!.photos.map(({ name }) => name)).toEqual(['a.jpg']);
  });

  it('proposes the photograph the gate has least against, and heeds the user who picks another', () => {
    const good = checked(2, '2026-03-05 b.jpg', { checks: [] });
    const cards = [checked(1, '2026-03-05 a.jpg'), good, checked(3, '2026-03-05 c.jpg')];
    const cellOf = (all: Importing) => boardOf(all).days[0]!.cells[0]!.cards.map(({ key }) => key);
    expect(cellOf(cards)).toEqual(['k2', 'k1', 'k3']);
    const picked = played(cards, { do: 'pick', key: 'k3' });
    expect(cellOf(picked)).toEqual(['k3', 'k2', 'k1']);
    expect(daysToSend(boardOf(picked))[0]!.photos[0]!.sha256).toBe(HASH(3));
    // Moved to another day, it is again one among those of that day.
    expect(played(picked, { do: 'day', keys: ['k3'], on: '2026-03-09' }).find(({ key }) => key === 'k3')!.picked).toBe(false);
  });

  it('keeps photographs without a day in the tray until a day is said, and never guesses one', () => {
    const cards = [checked(1, 'undated a.jpg'), checked(2, 'undated b.jpg'), checked(3, '2026-03-05.jpg')];
    expect(boardOf(cards).dayless).toHaveLength(2);
    expect(daysToSend(boardOf(cards)).flatMap(({ photos }) => photos)).toHaveLength(1);
    const said = played(cards, { do: 'day', keys: ['k1', 'k2'], on: '2026-02-28' });
    expect(boardOf(said).days.map(({ on }) => on)).toEqual(['2026-02-28', '2026-03-05']);
  });

  it('leaves out what shows no face, until the user gives it a view', () => {
    const cards = played([newImportCard('a', 'a.jpg', { stage: 'checking', sha256: HASH(1), job: 'j' })], {
      do: 'news',
      news: news('j', { state: 'failed', fault: { code: 'no-face', message: 'No face was found.', photo: HASH(1) } }),
    });
    expect(boardOf(cards).leftOut.map(({ fault }) => fault!.message)).toEqual(['No face was found.']);
    const kept = played(cards, { do: 'view', key: 'a', view: 'lateral-left' }, { do: 'day', keys: ['a'], on: '2026-03-05' });
    expect(daysToSend(boardOf(kept))).toEqual([
      { on: '2026-03-05', photos: [{ sha256: HASH(1), name: 'a.jpg', view: 'lateral-left', takenAt: null }] },
    ]);
  });

  it('loses no card, whatever happens to it', () => {
    const cards = [
      checked(1, 'a.jpg'),
      checked(2, 'undated.jpg'),
      newImportCard('x', 'x.jpg'),
      newImportCard('y', 'y.jpg', { stage: 'unread' }),
    ];
    const board = boardOf(played(cards, { do: 'view', key: 'k1', view: null }));
    const all = [
      ...board.days.flatMap(({ cells }) => cells.flatMap((cell) => cell.cards)),
      ...board.dayless,
      ...board.leftOut,
      ...board.twins,
      ...board.unread,
      ...board.underWay,
    ];
    expect(all.map(({ key }) => key).sort()).toEqual(['k1', 'k2', 'x', 'y']);
  });
});
