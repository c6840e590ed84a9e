'use client';
/** One photograph of the board: its picture, what the gate says, and the day and view it goes to. All of it by keyboard. */
import { useEffect, useState } from 'react';
import { CheckList } from '#app/_parts/check-list.tsx';
import { viewLabel } from '#app/_parts/check-words.ts';
import { VerdictMark } from '#app/_parts/marks.tsx';
import { VIEWS, type View } from '#shared/comparison.ts';
import { daySchema } from '#shared/job.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';
import css from './case.module.css';
import type { ImportCard } from './import-cards.ts';

type Props = {
  card: ImportCard;
  /** `one` is the only one of its view, `first` will be used, `spare` is kept beside it; null outside the board. */
  place: 'one' | 'first' | 'spare' | null;
  latest: string;
  onDay: (on: string) => void;
  onView: (view: View | null) => void;
  onPick: () => void;
  onDiscard: () => void;
};

export function ImportPhoto({ card, place, latest, onDay, onView, onPick, onDiscard }: Props) {
  const { key, name, sha256, check, fault, view } = card;
  return (
    <div className={css.photo} data-photo={key}>
      {sha256 && <Picture sha256={sha256} name={name} />}
      <div className={css.photoText}>
        <h4 className={css.fileName} title={name}>
          {name}
        </h4>
        {check && <Verdict check={check} />}
        {fault && (
          <p className="small">
            <VerdictMark verdict="refuse" /> {fault.message}
          </p>
        )}
        <DayField id={`day-${key}`} name={name} on={card.on} latest={latest} onDay={onDay} />
        <div>
          <label htmlFor={`view-${key}`} className="small">
            View<span className="unseen"> of {name}</span>
          </label>
          <select id={`view-${key}`} value={view ?? ''} onChange={(event) => onView((event.target.value || null) as View | null)}>
            {VIEWS.map((each) => (
              <option key={each} value={each}>
                {viewLabel(each)}
                {check?.view === each ? ' (seen)' : ''}
              </option>
            ))}
            <option value="">Leave it out</option>
          </select>
        </div>
        {place === 'first' && (
          <p className="small">
            <strong>Will be used</strong> <span className="soft">{card.picked ? 'as you chose' : 'as the best of its view'}</span>
          </p>
        )}
        <div className="row">
          {place === 'spare' && (
            <button type="button" className="small" id={`pick-${key}`} onClick={onPick}>
              Use this one<span className="unseen">: {name}</span>
            </button>
          )}
          <button type="button" className="plain small" onClick={onDiscard}>
            Remove<span className="unseen">: {name}</span>
          </button>
        </div>
      </div>
    </div>
  );
}

export function Picture({ sha256, name }: { sha256: string; name: string }) {
  const [missing, setMissing] = useState(false);
  if (missing) return <div className={`${css.picture} ${css.noPicture}`}>No picture</div>;
  return (
    // biome-ignore lint/performance/noImgElement: clinical pictures bypass the image optimiser and its cache
    <img
      className={css.picture}
      src={`/api/photos/${sha256}/preview`}
      alt={name}
      loading="lazy"
      decoding="async"
      // One that failed before the page woke up tells nobody any more.
      ref={(img) => {
        if (img?.complete && img.naturalWidth === 0) setMissing(true);
      }}
      onError={() => setMissing(true)}
    />
  );
}

/** The gate's word in a line, all of it when opened. */
function Verdict({ check }: { check: PhotoCheck }) {
  const refused = check.checks.filter(({ verdict }) => verdict === 'refuse').length;
  const noted = check.checks.filter(({ verdict }) => verdict === 'caution').length;
  const words =
    refused > 0
      ? `Not usable: ${refused} ${refused === 1 ? 'reason' : 'reasons'}`
      : noted > 0
        ? `${noted} ${noted === 1 ? 'note' : 'notes'}`
        : 'Good';
  return (
    <details className={css.verdict}>
      <summary className="small">
        <VerdictMark verdict={refused > 0 ? 'refuse' : noted > 0 ? 'caution' : 'pass'} /> {words}
      </summary>
      <CheckList checks={check.checks} />
    </details>
  );
}

/** A typed day counts when it is whole and the field is left or confirmed, so that the photograph does not jump at every key. */
function DayField({
  id,
  name,
  on,
  latest,
  onDay,
}: {
  id: string;
  name: string;
  on: string | null;
  latest: string;
  onDay: (on: string) => void;
}) {
  const [typed, setTyped] = useState(on ?? '');
  useEffect(() => setTyped(on ?? ''), [on]);
  const can = daySchema.safeParse(typed).success && typed >= '1990-01-01' && typed <= latest;
  const settle = () => (can ? typed !== on && onDay(typed) : on && setTyped(on));
  return (
    <div>
      <label htmlFor={id} className="small">
        Day<span className="unseen"> of {name}</span>
      </label>
      <input
        id={id}
        type="date"
        value={typed}
        max={latest}
        onChange={(event) => setTyped(event.target.value)}
        onBlur={settle}
        onKeyDown={(event) => event.key === 'Enter' && settle()}
      />
    </div>
  );
}
