/** The trays' state, and what of them can be measured. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allCards, type Change, changeTrays, NO_CARDS, newCard, openJobs, readiness, SIDES, type Trays } from '#app/_bench/cards.ts';
import type { JobNews } from '#shared/job-news.ts';
import { checkOf } from './fixtures/stand-in-runner.ts';

const sha = (digit: string) => digit.repeat(64);
const id = (digit: string) => digit.repeat(32);
const news = (job: string, part: Partial<JobNews>): JobNews => ({
  id: job,
  kind: 'check',
  state: 'running',
  step: '',
  fraction: 0.5,
  stopAsked: false,
  fault: null,
  check: null,
  ...part,
});
const changed = (changes: readonly Change[], start: Trays = NO_CARDS) => changes.reduce(changeTrays, start);

const checked = (side: 'before' | 'after', key: string, digit: string, name: string): Change[] => [
  { do: 'add', side, cards: [newCard(key, name)] },
  { do: 'stored', key, sha256: sha(digit) },
  { do: 'asked', key, job: id(digit) },
  { do: 'news', news: news(id(digit), { state: 'done', check: checkOf(sha(digit), name) }) },
];

describe('law', () => {
  it('a photograph goes from waiting to checked, and is listened for only while it is checked', () => {
    const steps = checked('before', 'a', '1', 'frontal.jpg');
    const stages = steps.map((_, i) => changed(steps.slice(0, i + 1)).before[0]!.stage);
    expect(stages).toEqual(['waiting', 'checking', 'checking', 'checked']);
    expect(openJobs(changed(steps.slice(0, 3)))).toEqual([id('1')]);
    expect(openJobs(changed(steps))).toEqual([]);
  });

  it('swapping twice, and moving twice, change nothing but the order', () => {
    const trays = changed([...checked('before', 'a', '1', 'frontal.jpg'), ...checked('after', 'b', '2', 'frontal.jpg')]);
    expect(changed([{ do: 'swap' }, { do: 'swap' }], trays)).toEqual(trays);
    expect(
      changed(
        [
          { do: 'move', key: 'a' },
          { do: 'move', key: 'a' },
        ],
        trays,
      ),
    ).toEqual(trays);
    expect(changed([{ do: 'move', key: 'a' }], trays).after.map((card) => card.key)).toEqual(['b', 'a']);
  });

  it('whatever happens in whatever order, no card is lost, doubled or written to', () => {
    const key = fc.constantFrom('a', 'b', 'c', 'd');
    const change = fc.oneof(
      fc.record({ do: fc.constant('sending' as const), key, share: fc.double({ min: 0, max: 1, noNaN: true }) }),
      fc.record({ do: fc.constant('stored' as const), key, sha256: fc.constantFrom(sha('1'), sha('2')) }),
      fc.record({ do: fc.constant('asked' as const), key, job: fc.constantFrom(id('1'), id('2')) }),
      fc.record({ do: fc.constant('refuse' as const), key, fault: fc.constant({ message: 'No.', advice: '' }) }),
      fc.record({
        do: fc.constant('news' as const),
        news: fc.constantFrom(news(id('1'), {}), news(id('2'), { state: 'failed' }), news(id('1'), { state: 'stopped' })),
      }),
      fc.record({ do: fc.constant('move' as const), key }),
      fc.constant({ do: 'swap' as const }),
    );
    fc.assert(
      fc.property(fc.array(change, { maxLength: 30 }), (changes) => {
        let trays: Trays = changed([
          { do: 'add', side: 'before', cards: [newCard('a', 'a.jpg'), newCard('b', 'b.jpg')] },
          { do: 'add', side: 'after', cards: [newCard('c', 'c.jpg'), newCard('d', 'd.jpg')] },
        ]);
        for (const one of changes) {
          const frozen = deepFreeze(trays);
          trays = changeTrays(frozen, one);
          expect(
            allCards(trays)
              .map((card) => card.key)
              .sort(),
          ).toEqual(['a', 'b', 'c', 'd']);
        }
      }),
      { numRuns: 200 },
    );
  });

  it('one photograph of each view that both trays show is sent, the first in its tray', () => {
    const trays = changed([
      ...checked('before', 'a', '1', 'frontal.jpg'),
      ...checked('before', 'b', '2', 'oblique.jpg'),
      ...checked('before', 'c', '3', 'second frontal.jpg'),
      ...checked('after', 'd', '4', 'frontal later.jpg'),
    ]);
    const ready = readiness(trays);
    expect(ready.shared).toEqual(['frontal']);
    expect(ready.before).toEqual([{ sha256: sha('1'), name: 'frontal.jpg' }]);
    expect(ready.after).toEqual([{ sha256: sha('4'), name: 'frontal later.jpg' }]);
    expect(ready.alone).toEqual([{ side: 'before', view: 'oblique-left' }]);
    expect(ready.spare.map((card) => card.key)).toEqual(['c']);
    expect(ready.busy).toBe(false);
  });
});

describe('refusal', () => {
  it('the same file twice in one tray refuses itself, and may stand in both trays', () => {
    const twice = changed([
      ...checked('before', 'a', '1', 'frontal.jpg'),
      { do: 'add', side: 'before', cards: [newCard('b', 'copy.jpg')] },
      { do: 'stored', key: 'b', sha256: sha('1') },
    ]);
    expect(twice.before[1]).toMatchObject({
      stage: 'refused',
      fault: { message: 'This is the same file as frontal.jpg, which is already here.' },
    });
    const both = changed([...checked('before', 'a', '1', 'frontal.jpg'), ...checked('after', 'b', '1', 'frontal.jpg')]);
    expect(readiness(both).shared).toEqual(['frontal']);
  });

  it('a failed or stopped check says so on the card, and is not measured', () => {
    for (const [state, message] of [
      ['failed', 'No face was found.'],
      ['stopped', 'The check was stopped.'],
    ] as const) {
      const steps = checked('before', 'a', '1', 'frontal.jpg');
      const trays = changed([
        ...steps.slice(0, 3),
        { do: 'news', news: news(id('1'), { state, fault: { code: 'no-face', message: 'No face was found.', photo: null } }) },
      ]);
      expect(trays.before[0]).toMatchObject({ stage: 'refused', fault: { message } });
      expect(readiness(trays).before).toEqual([]);
    }
    expect(SIDES.length).toBe(2);
  });
});

function deepFreeze<T>(value: T): T {
  if (typeof value === 'object' && value !== null && !Object.isFrozen(value)) {
    Object.freeze(value);
    for (const part of Object.values(value)) deepFreeze(part);
  }
  return value;
}
