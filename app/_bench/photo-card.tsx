'use client';
/** One photograph in a tray: its picture, what was found in it, and what to do about what is wrong. */
import { CheckList } from '#app/_parts/check-list.tsx';
import { shortNumber, viewLabel } from '#app/_parts/check-words.ts';
import { VerdictMark } from '#app/_parts/marks.tsx';
import { signed } from '#shared/numbers.ts';
import type { PhotoCheck } from '#shared/photo-check.ts';
import css from './bench.module.css';
import { type Card, otherSide, type Side } from './cards.ts';
import { PhotoPicture } from './photo-picture.tsx';

type Props = { card: Card; side: Side; spare: boolean; onRemove: () => void; onMove: () => void };

export function PhotoCard({ card, side, spare, onRemove, onMove }: Props) {
  return (
    <li className={css.card}>
      <PhotoPicture name={card.name} localUrl={card.localUrl} sha256={card.sha256} check={card.check} refused={card.stage === 'refused'} />
      <div className={css.cardText}>
        <h3 className={css.fileName} title={card.name}>
          {card.name}
        </h3>
        <Stage card={card} />
        {card.check && <Facts check={card.check} />}
        {spare && card.check && (
          <p className="note warn small">
            This tray already has a {viewLabel(card.check.view).toLowerCase()} photograph. Only the first of a view is measured.
          </p>
        )}
        {card.check && <CheckList checks={card.check.checks} />}
        <div className={`row ${css.cardButtons}`}>
          <button type="button" className="plain small" onClick={onMove} aria-label={`Move to ${otherSide(side)}: ${card.name}`}>
            Move to {otherSide(side)}
          </button>
          <button type="button" className="plain small" onClick={onRemove} aria-label={`Remove: ${card.name}`}>
            Remove
          </button>
        </div>
      </div>
    </li>
  );
}

function Stage({ card }: { card: Card }) {
  switch (card.stage) {
    case 'waiting':
      return <p className="small soft">Waits for its turn.</p>;
    case 'sending':
      return <Doing word="Being added" share={card.share} name={card.name} />;
    case 'checking':
      return <Doing word="Being checked" share={card.share} name={card.name} />;
    case 'refused':
      return (
        <div className="note stop small">
          <p className={css.refusal}>
            <VerdictMark verdict="refuse" /> <span>{card.fault?.message}</span>
          </p>
          {card.fault?.advice && <p>{card.fault.advice}</p>}
        </div>
      );
    case 'checked':
      return null;
    default:
      return card.stage satisfies never;
  }
}

function Doing({ word, share, name }: { word: string; share: number; name: string }) {
  return (
    <div>
      <p className="small soft">{word}.</p>
      <progress max={1} value={share} aria-label={`${word}: ${name}`} />
    </div>
  );
}

function Facts({ check }: { check: PhotoCheck }) {
  const { yawDeg, pitchDeg, rollDeg } = check.pose;
  const degrees = (value: number) => `${signed(value, 1)}\u00b0`;
  return (
    <dl className={css.facts}>
      <dt>View</dt>
      <dd>{viewLabel(check.view)}</dd>
      <dt>Turn, chin, tilt</dt>
      <dd className="number">
        {degrees(yawDeg.value)}, {degrees(pitchDeg.value)}, {degrees(rollDeg.value)}
      </dd>
      <dt>Size</dt>
      <dd className="number">
        {check.uprightPx.width} &times; {check.uprightPx.height} px; {shortNumber(1 / check.mmPerPx)} px per mm{' '}
        <span className="soft">&plusmn; {(check.relU * 100).toFixed(1)} %</span>
      </dd>
      {check.facts.takenAt && (
        <>
          <dt>Taken</dt>
          <dd className="number">{check.facts.takenAt.replace('T', ' ').slice(0, 16)}</dd>
        </>
      )}
    </dl>
  );
}
