'use client';
/** The import: what comes in, how far it is, the board of days and views to look over, and the button that puts it into the case. */
import { useRouter } from 'next/navigation';
import { useEffect, useMemo, useRef, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { viewLabel } from '#app/_parts/check-words.ts';
import { daySchema } from '#shared/job.ts';
import css from './case.module.css';
import { DropPlace } from './drop-place.tsx';
import { type Board, boardOf, daysToSend, type ImportCard } from './import-cards.ts';
import { ImportPhoto } from './import-photo.tsx';
import { type ImportHands, useImport } from './use-import.ts';

const doneSchema = z.object({ added: z.number(), already: z.number() });

type Props = { caseId: string; inCase: readonly string[]; today: string };

export function ImportDesk({ caseId, inCase, today }: Props) {
  const router = useRouter();
  const known = useMemo(() => new Set(inCase), [inCase]);
  const hands = useImport(caseId, known);
  const board = boardOf(hands.cards);
  const [busy, setBusy] = useState(false);
  const [fault, setFault] = useState<{ message: string; advice: string } | null>(null);
  const [focus, setFocus] = useState<string | null>(null);
  useEffect(() => {
    if (focus === null) return;
    // A card that changes its place is drawn anew there; the keyboard follows it.
    document.getElementById(focus)?.focus();
    setFocus(null);
  }, [focus]);

  const total = board.days.reduce((sum, { cells }) => sum + cells.reduce((n, { cards }) => n + cards.length, 0), 0);
  const confirm = async () => {
    if (busy || total === 0 || board.underWay.length > 0) return;
    setBusy(true);
    setFault(null);
    const answer = await ask(doneSchema, `/api/cases/${caseId}/photos`, { method: 'POST', body: { days: daysToSend(board) } });
    setBusy(false);
    if (!answer.ok) return setFault(answer);
    hands.settle([
      ...board.days.flatMap(({ cells }) => cells.flatMap(({ cards }) => cards.map(({ key }) => key))),
      ...board.twins.map(({ key }) => key),
    ]);
    router.refresh();
    if (board.dayless.length === 0) router.push(`/cases/${caseId}`);
  };

  return (
    <div className={css.importing} aria-busy={!hands.ready}>
      <DropPlace onFiles={hands.add} />
      <UnderWay hands={hands} board={board} />
      {board.dayless.length > 0 && <Tray hands={hands} cards={board.dayless} today={today} onFocus={setFocus} />}
      {board.days.length > 0 && <Days hands={hands} board={board} today={today} onFocus={setFocus} />}
      {board.leftOut.length > 0 && (
        <section aria-labelledby="left-out">
          <h2 id="left-out">Left out</h2>
          <p className="small soft">Give one a view to take it in all the same; what shows no face cannot be measured.</p>
          <div className={css.shelf}>
            {board.leftOut.map((card) => (
              <Photo key={card.key} hands={hands} card={card} place={null} today={today} onFocus={setFocus} />
            ))}
          </div>
        </section>
      )}
      {hands.cards.length > 0 && (
        <section className={css.confirm} aria-label="Put into the case">
          <button
            type="button"
            className="main"
            aria-disabled={busy || total === 0 || board.underWay.length > 0}
            onClick={() => void confirm()}
          >
            Put into the case
          </button>
          <p className="small" role="status">
            {busy ? 'Being put into the case.' : confirmWords(board, total)}
          </p>
          {fault && (
            <p className="note stop small" role="alert">
              {fault.message} {fault.advice}
            </p>
          )}
        </section>
      )}
    </div>
  );
}

function confirmWords({ underWay, days, dayless, leftOut }: Board, total: number): string {
  if (underWay.length > 0) return `${underWay.length} still to be judged.`;
  if (total === 0) return dayless.length > 0 ? 'Say the day of those in the tray first.' : 'There is nothing to put in.';
  const rest = [
    ...(dayless.length > 0 ? [`${dayless.length} without a day wait in the tray`] : []),
    ...(leftOut.length > 0 ? [`${leftOut.length} left out`] : []),
  ];
  return `${photographs(total)} of ${days.length} ${days.length === 1 ? 'day' : 'days'}${rest.length > 0 ? `; ${rest.join('; ')}` : ''}.`;
}

const photographs = (n: number): string => `${n} ${n === 1 ? 'photograph' : 'photographs'}`;

type Part = { hands: ImportHands; today: string; onFocus: (id: string) => void };

/** How far all of it is, in one bar; and what could not be taken in. */
function UnderWay({ hands, board }: { hands: ImportHands; board: Board }) {
  const all = hands.cards.length;
  const open = board.underWay.length;
  const done = hands.cards.reduce(
    (sum, { stage, share }) =>
      sum + (stage === 'sending' ? share / 2 : stage === 'checking' ? 0.5 + share / 2 : stage === 'waiting' ? 0 : 1),
    0,
  );
  return (
    <>
      {open > 0 && (
        <div className={css.progress}>
          <p className="small" role="status">
            {all - open} of {all} judged
          </p>
          <progress max={all} value={done} aria-label="Taken in and judged so far" />
        </div>
      )}
      {hands.strange > 0 && (
        <p className="small soft">
          {hands.strange} {hands.strange === 1 ? 'file that is no photograph was' : 'files that are no photographs were'} passed over.
        </p>
      )}
      {board.twins.length > 0 && (
        <p className="note small">
          {board.twins.filter(({ twin }) => twin === 'case').length > 0 && (
            <>In the case already, and left where they are: {names(board.twins.filter(({ twin }) => twin === 'case'))}. </>
          )}
          {board.twins.filter(({ twin }) => twin === 'here').length > 0 && (
            <>The same file came twice, and is taken once: {names(board.twins.filter(({ twin }) => twin === 'here'))}. </>
          )}
          <button type="button" className="small plain" onClick={() => hands.discard(board.twins.map(({ key }) => key))}>
            Clear this note
          </button>
        </p>
      )}
      {board.unread.map((card) => (
        <p key={card.key} className="note stop small">
          <strong>{card.name}</strong>: {card.fault?.message} {card.fault?.advice}{' '}
          <button type="button" className="small plain" onClick={() => hands.discard([card.key])}>
            Remove<span className="unseen">: {card.name}</span>
          </button>
        </p>
      ))}
    </>
  );
}

const names = (cards: readonly ImportCard[]): string => {
  const shown = cards.slice(0, 6).map(({ name }) => name);
  return cards.length > shown.length ? `${shown.join(', ')} and ${cards.length - shown.length} more` : shown.join(', ');
};

/** Photographs whose files carry no time: one day for all of them, or each its own. */
function Tray({ hands, cards, today, onFocus }: Part & { cards: readonly ImportCard[] }) {
  const [day, setDay] = useState('');
  const can = daySchema.safeParse(day).success && day <= today;
  return (
    <section aria-labelledby="tray" className={css.trayOfDays}>
      <h2 id="tray">Of which day?</h2>
      <p className="small soft">These files do not say when they were taken. They stay here until you say.</p>
      <form
        className="row"
        onSubmit={(event) => {
          event.preventDefault();
          if (can) hands.change({ do: 'day', keys: cards.map(({ key }) => key), on: day });
        }}
      >
        <label htmlFor="tray-day" className="small">
          All of these are of
        </label>
        <input id="tray-day" type="date" max={today} value={day} onChange={(event) => setDay(event.target.value)} />
        <button type="submit" aria-disabled={!can}>
          Set the day
        </button>
      </form>
      <div className={css.shelf}>
        {cards.map((card) => (
          <Photo key={card.key} hands={hands} card={card} place={null} today={today} onFocus={onFocus} />
        ))}
      </div>
    </section>
  );
}

function Days({ hands, board, today, onFocus }: Part & { board: Board }) {
  return (
    <>
      {board.days.map(({ on, cells }) => (
        <section key={on} aria-labelledby={`day-of-${on}`} className={css.day}>
          <h2 id={`day-of-${on}`} className="number">
            {on}
          </h2>
          <div className={css.cells} style={{ gridTemplateColumns: `repeat(${Math.max(2, board.views.length)}, minmax(0, 1fr))` }}>
            {cells.map(({ view, cards }) => (
              <div key={view} className={cards.length === 0 ? css.emptyCell : css.cell}>
                <h3>{viewLabel(view)}</h3>
                {cards.length === 0 && <p className="small soft">None of this day.</p>}
                {cards.map((card, i) => (
                  <Photo
                    key={card.key}
                    hands={hands}
                    card={card}
                    place={cards.length === 1 ? 'one' : i === 0 ? 'first' : 'spare'}
                    today={today}
                    onFocus={onFocus}
                  />
                ))}
              </div>
            ))}
          </div>
        </section>
      ))}
    </>
  );
}

function Photo({ hands, card, place, today, onFocus }: Part & { card: ImportCard; place: 'one' | 'first' | 'spare' | null }) {
  const { key } = card;
  const left = useRef<HTMLDivElement>(null);
  return (
    <div ref={left}>
      <ImportPhoto
        card={card}
        place={place}
        latest={today}
        onDay={(on) => {
          const follow = left.current?.contains(document.activeElement);
          hands.change({ do: 'day', keys: [key], on });
          if (follow) onFocus(`day-${key}`);
        }}
        onView={(view) => {
          hands.change({ do: 'view', key, view });
          onFocus(`view-${key}`);
        }}
        onPick={() => {
          hands.change({ do: 'pick', key });
          onFocus(`view-${key}`);
        }}
        onDiscard={() => hands.discard([key])}
      />
    </div>
  );
}
