/**
 * Photographs on their way into a case, as plain state and every way it can change. Pure, so that it is tested without a browser.
 * A card is one file from its choosing to a judged photograph with a day and a view; what the program proposes, the user may change.
 */
import { VIEWS, type View } from '#shared/comparison.ts';
import type { JobNews } from '#shared/job-news.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';

export type ImportCard = Readonly<{
  key: string;
  name: string;
  /** waiting -> sending -> checking -> judged; `unread` could not be kept at all. */
  stage: 'waiting' | 'sending' | 'checking' | 'judged' | 'unread';
  /** Share sent or checked, 0..1. */
  share: number;
  sha256: string | null;
  job: string | null;
  check: PhotoCheck | null;
  /** Why it is unread, or why no face could be measured in it. */
  fault: Readonly<{ message: string; advice: string }> | null;
  /** `YYYY-MM-DD`; null until the file's own time or the user says. */
  on: string | null;
  /** Null when it is not to be put into the case. */
  view: View | null;
  /** True when the user picked it before others of its day and view. */
  picked: boolean;
  /** The same file is in the case already, or came twice: it is left out. */
  twin: 'case' | 'here' | null;
}>;

export type Importing = readonly ImportCard[];

export type ImportChange =
  | { do: 'add'; cards: readonly ImportCard[] }
  | { do: 'sending'; key: string; share: number }
  | { do: 'stored'; key: string; sha256: string; inCase: boolean }
  | { do: 'asked'; key: string; job: string }
  | { do: 'news'; news: JobNews }
  | { do: 'refuse'; key: string; fault: { message: string; advice: string } }
  | { do: 'day'; keys: readonly string[]; on: string }
  | { do: 'view'; key: string; view: View | null }
  | { do: 'pick'; key: string }
  | { do: 'remove'; keys: readonly string[] };

export function newImportCard(key: string, name: string, part: Partial<ImportCard> = {}): ImportCard {
  return {
    key,
    name,
    stage: 'waiting',
    share: 0,
    sha256: null,
    job: null,
    check: null,
    fault: null,
    on: null,
    view: null,
    picked: false,
    twin: null,
    ...part,
  };
}

export function changeImport(cards: Importing, change: ImportChange): Importing {
  const one = (key: string, part: (card: ImportCard) => Partial<ImportCard>) =>
    cards.map((card) => (card.key === key ? { ...card, ...part(card) } : card));
  switch (change.do) {
    case 'add':
      return [...cards, ...change.cards];
    case 'sending':
      return one(change.key, ({ stage }) => (stage === 'unread' ? {} : { stage: 'sending', share: change.share }));
    case 'stored':
      return stored(cards, change);
    case 'asked':
      return one(keptOf(cards, change.key), () => ({ stage: 'checking', share: 0, job: change.job }));
    case 'news':
      return cards.map((card) =>
        card.job === change.news.id && card.stage === 'checking' ? { ...card, ...heard(card, change.news) } : card,
      );
    case 'refuse':
      return one(change.key, () => ({ stage: 'unread', fault: change.fault }));
    case 'day':
      return cards.map((card) => (change.keys.includes(card.key) ? { ...card, on: change.on, picked: false } : card));
    case 'view':
      return one(change.key, () => ({ view: change.view, picked: false }));
    case 'pick': {
      const chosen = cards.find(({ key }) => key === change.key);
      return cards.map((card) =>
        chosen && card.on === chosen.on && card.view === chosen.view ? { ...card, picked: card.key === change.key } : card,
      );
    }
    case 'remove':
      return cards.filter(({ key }) => !change.keys.includes(key));
    default:
      return change satisfies never;
  }
}

/** Of the same file twice, the one that was listed first stays, whichever was sent sooner: what was learnt of the other goes to it. */
function stored(cards: Importing, { key, sha256, inCase }: Extract<ImportChange, { do: 'stored' }>): Importing {
  const at = cards.findIndex((card) => card.key === key);
  const other = cards.findIndex((card) => card.key !== key && card.sha256 === sha256 && card.twin === null);
  const gone = { stage: 'judged', share: 1, job: null, check: null, fault: null, on: null, view: null } as const;
  return cards.map((card, i) => {
    if (i === at && inCase) return { ...card, ...gone, sha256, twin: 'case' as const };
    if (i === at && other < 0) return { ...card, stage: 'checking' as const, share: 0, sha256 };
    if (i === at && other < at) return { ...card, ...gone, sha256, twin: 'here' as const };
    if (i === at) return { ...cards[other]!, key: card.key, name: card.name };
    if (i === other && at < other && !inCase) return { ...card, ...gone, twin: 'here' as const };
    return card;
  });
}

/** A check that was asked for a twin is a check of the one that is kept. */
function keptOf(cards: Importing, key: string): string {
  const asked = cards.find((card) => card.key === key);
  return asked?.twin ? (cards.find(({ sha256, twin }) => sha256 === asked.sha256 && twin === null)?.key ?? '') : key;
}

function heard(card: ImportCard, news: JobNews): Partial<ImportCard> {
  if (news.state === 'done' && news.check) {
    const { check } = news;
    return { stage: 'judged', share: 1, check, on: card.on ?? check.facts.takenAt?.slice(0, 10) ?? null, view: card.view ?? check.view };
  }
  if (news.state === 'failed' || news.state === 'stopped')
    return { stage: 'judged', share: 1, fault: { message: news.fault?.message ?? 'The check did not end.', advice: '' } };
  return { share: news.fraction };
}

/** Jobs still to be heard of. */
export const openImportJobs = (cards: Importing): string[] => cards.flatMap(({ stage, job }) => (stage === 'checking' && job ? [job] : []));

/** The worse, the larger: what the gate refuses, then what it notes, then few pixels per millimetre. */
function demerit({ check }: ImportCard): readonly [number, number, number] {
  if (!check) return [Number.POSITIVE_INFINITY, 0, 0];
  const count = (verdict: string) => check.checks.filter((one) => one.verdict === verdict).length;
  return [count('refuse'), count('caution'), check.mmPerPx];
}

/** The best of one day and view first: the one the user picked, else the one the gate has least against. Ties keep their order. */
export function bestFirst(cards: readonly ImportCard[]): ImportCard[] {
  return [...cards].sort((a, b) => {
    if (a.picked !== b.picked) return a.picked ? -1 : 1;
    const [p, q] = [demerit(a), demerit(b)];
    for (let k = 0; k < p.length; k++) if (p[k] !== q[k]) return p[k]! - q[k]!;
    return 0;
  });
}

export type Board = Readonly<{
  /** Views that any day shows, in the usual order. */
  views: readonly View[];
  /** Oldest first; the first card of a cell is the one comparisons will use. */
  days: readonly Readonly<{ on: string; cells: readonly Readonly<{ view: View; cards: readonly ImportCard[] }>[] }>[];
  /** Judged, with a view, but of no known day. */
  dayless: readonly ImportCard[];
  /** No view: no face was measured, or the user left them out. */
  leftOut: readonly ImportCard[];
  /** The same file once more. */
  twins: readonly ImportCard[];
  unread: readonly ImportCard[];
  /** Not judged yet. */
  underWay: readonly ImportCard[];
}>;

export function boardOf(cards: Importing): Board {
  const judged = cards.filter(({ stage, twin }) => stage === 'judged' && !twin);
  const placed = judged.filter(({ on, view }) => on !== null && view !== null);
  const views = VIEWS.filter((view) => placed.some((card) => card.view === view));
  return {
    views,
    days: [...new Set(placed.map(({ on }) => on!))].sort().map((on) => ({
      on,
      cells: views.map((view) => ({ view, cards: bestFirst(placed.filter((card) => card.on === on && card.view === view)) })),
    })),
    dayless: judged.filter(({ on, view }) => on === null && view !== null),
    leftOut: judged.filter(({ view }) => view === null),
    twins: cards.filter(({ twin }) => twin !== null),
    unread: cards.filter(({ stage }) => stage === 'unread'),
    underWay: cards.filter(({ stage }) => stage === 'waiting' || stage === 'sending' || stage === 'checking'),
  };
}

/** What is sent to the case: by day, the best of each view first, so that it becomes the chosen one. */
export const daysToSend = ({ days }: Board) =>
  days.map(({ on, cells }) => ({
    on,
    photos: cells.flatMap(({ view, cards }) =>
      cards.map(({ sha256, name, check }) => ({ sha256: sha256!, name, view, takenAt: check?.facts.takenAt ?? null })),
    ),
  }));
