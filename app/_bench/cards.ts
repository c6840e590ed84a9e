/**
 * The two trays as plain state, and every way it can change. Pure, so that it is tested without a browser.
 * A card is one photograph on its way from a file to a checked view.
 */
import type { View } from '#shared/comparison.ts';
import type { PhotoRef } from '#shared/job.ts';
import type { JobNews } from '#shared/job-news.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';

export const SIDES = ['before', 'after'] as const;
export type Side = (typeof SIDES)[number];
export const otherSide = (side: Side): Side => (side === 'before' ? 'after' : 'before');

export type CardFault = Readonly<{ message: string; advice: string }>;

export type Card = Readonly<{
  key: string;
  name: string;
  bytes: number | null;
  /** A picture of the file itself, for the time until the server has made one. */
  localUrl: string | null;
  /** waiting -> sending -> checking -> checked, or refused from any of them. */
  stage: 'waiting' | 'sending' | 'checking' | 'checked' | 'refused';
  /** Share sent or checked, 0..1. */
  share: number;
  sha256: string | null;
  job: string | null;
  check: PhotoCheck | null;
  fault: CardFault | null;
}>;

export type Trays = Readonly<Record<Side, readonly Card[]>>;
export const NO_CARDS: Trays = { before: [], after: [] };

export type Change =
  | { do: 'add'; side: Side; cards: readonly Card[] }
  | { do: 'sending'; key: string; share: number }
  | { do: 'stored'; key: string; sha256: string }
  | { do: 'asked'; key: string; job: string }
  | { do: 'news'; news: JobNews }
  | { do: 'refuse'; key: string; fault: CardFault }
  | { do: 'remove'; key: string }
  | { do: 'move'; key: string }
  | { do: 'swap' };

export function newCard(key: string, name: string, bytes: number | null = null, localUrl: string | null = null): Card {
  return { key, name, bytes, localUrl, stage: 'waiting', share: 0, sha256: null, job: null, check: null, fault: null };
}

export function changeTrays(trays: Trays, change: Change): Trays {
  switch (change.do) {
    case 'add':
      return { ...trays, [change.side]: [...trays[change.side], ...change.cards] };
    case 'sending':
      return eachCard(trays, (card) =>
        card.key === change.key && card.stage !== 'refused' ? { ...card, stage: 'sending', share: change.share } : card,
      );
    case 'stored':
      return stored(trays, change.key, change.sha256);
    case 'asked':
      return eachCard(trays, (card) =>
        card.key === change.key ? { ...card, stage: 'checking', share: 0, job: change.job, fault: null } : card,
      );
    case 'news':
      return eachCard(trays, (card) => (card.job === change.news.id ? heard(card, change.news) : card));
    case 'refuse':
      return eachCard(trays, (card) => (card.key === change.key ? { ...card, stage: 'refused', fault: change.fault } : card));
    case 'remove':
      return {
        before: trays.before.filter((card) => card.key !== change.key),
        after: trays.after.filter((card) => card.key !== change.key),
      };
    case 'move':
      return moved(trays, change.key);
    case 'swap':
      return { before: trays.after, after: trays.before };
    default:
      return change satisfies never;
  }
}

export const allCards = (trays: Trays): readonly Card[] => [...trays.before, ...trays.after];
/** Jobs still to be heard of. */
export const openJobs = (trays: Trays): string[] => [
  ...new Set(allCards(trays).flatMap((card) => (card.stage === 'checking' && card.job ? [card.job] : []))),
];

export type Readiness = Readonly<{
  /** Views that both trays show, in the order of the before tray. */
  shared: readonly View[];
  /** Views that only one tray shows. */
  alone: readonly Readonly<{ side: Side; view: View }>[];
  /** Photographs left out, because their tray already shows that view. */
  spare: readonly Card[];
  busy: boolean;
  /** What to send: one photograph for each shared view. */
  before: readonly PhotoRef[];
  after: readonly PhotoRef[];
}>;

/** What of the trays can be measured now. */
export function readiness(trays: Trays): Readiness {
  const before = firstOfEachView(trays.before);
  const after = firstOfEachView(trays.after);
  const shared = [...before.keys()].filter((view) => after.has(view));
  const alone = [
    ...[...before.keys()].filter((view) => !after.has(view)).map((view) => ({ side: 'before' as const, view })),
    ...[...after.keys()].filter((view) => !before.has(view)).map((view) => ({ side: 'after' as const, view })),
  ];
  const used = new Set([...before.values(), ...after.values()]);
  const ref = (card: Card): PhotoRef => ({ sha256: card.sha256!, name: card.name });
  return {
    shared,
    alone,
    spare: allCards(trays).filter((card) => card.check && !used.has(card)),
    busy: allCards(trays).some((card) => card.stage === 'waiting' || card.stage === 'sending' || card.stage === 'checking'),
    before: shared.map((view) => ref(before.get(view)!)),
    after: shared.map((view) => ref(after.get(view)!)),
  };
}

function firstOfEachView(cards: readonly Card[]): Map<View, Card> {
  const found = new Map<View, Card>();
  for (const card of cards)
    if (card.stage === 'checked' && card.check && card.sha256 && !found.has(card.check.view)) found.set(card.check.view, card);
  return found;
}

function eachCard(trays: Trays, change: (card: Card) => Card): Trays {
  return { before: trays.before.map(change), after: trays.after.map(change) };
}

/** The same file twice in one tray says nothing new: the later card refuses itself. */
function stored(trays: Trays, key: string, sha256: string): Trays {
  return eachCard(trays, (card) => {
    if (card.key !== key) return card;
    const tray = trays.before.includes(card) ? trays.before : trays.after;
    const twin = tray.find((other) => other.key !== key && other.sha256 === sha256);
    if (!twin) return { ...card, stage: 'checking', share: 0, sha256 };
    return {
      ...card,
      stage: 'refused',
      fault: { message: `This is the same file as ${twin.name}, which is already here.`, advice: 'Remove one of the two.' },
    };
  });
}

function heard(card: Card, news: JobNews): Card {
  if (news.state === 'done' && news.check) return { ...card, stage: 'checked', share: 1, check: news.check, fault: null };
  if (news.state === 'failed')
    return { ...card, stage: 'refused', check: null, fault: { message: news.fault?.message ?? 'The check failed.', advice: '' } };
  if (news.state === 'stopped')
    return {
      ...card,
      stage: 'refused',
      check: null,
      fault: { message: 'The check was stopped.', advice: 'Remove the photograph and add it again.' },
    };
  return { ...card, share: news.fraction };
}

function moved(trays: Trays, key: string): Trays {
  for (const side of SIDES) {
    const card = trays[side].find((one) => one.key === key);
    if (!card) continue;
    const goal = otherSide(side);
    return { ...trays, [side]: trays[side].filter((one) => one !== card), [goal]: [...trays[goal], card] } as Trays;
  }
  return trays;
}
