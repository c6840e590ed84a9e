'use client';
/** The viewer's controls: everything that wheel, drag and keys do can be done here with one press. */
import { useId } from 'react';
import { type ChangeChoice, MAP_WORDS, MAPS, type MapChoice, SPANS } from './map-choice.ts';
import css from './result.module.css';
import { BLINK_RATES, USUAL_BLINK_MS } from './use-blink.ts';
import type { Look } from './use-plate.ts';

const LOOKS: readonly Readonly<{ look: Look; label: string }>[] = [
  { look: 'taken', label: 'As taken' },
  { look: 'aligned', label: 'Aligned' },
  { look: 'relit', label: 'Same light' },
];

export function LookControl({ look, measured, onLook }: { look: Look; measured: boolean; onLook: (look: Look) => void }) {
  const name = useId();
  return (
    <fieldset className={css.choice}>
      <legend>Pictures</legend>
      {LOOKS.map((one) => (
        <label key={one.look} className={css.pill}>
          <input
            type="radio"
            name={name}
            checked={look === one.look}
            disabled={!measured && one.look !== 'taken'}
            onChange={() => onLook(one.look)}
          />
          {one.label}
        </label>
      ))}
    </fieldset>
  );
}

export function MapControl({ map, usable, onMap }: { map: MapChoice; usable: boolean; onMap: (map: MapChoice) => void }) {
  const name = useId();
  return (
    <fieldset className={css.choice}>
      <legend>Map</legend>
      {MAPS.map((one) => (
        <label key={one} className={css.pill}>
          <input type="radio" name={name} checked={map === one} disabled={!usable} onChange={() => onMap(one)} />
          {MAP_WORDS[one].label}
        </label>
      ))}
    </fieldset>
  );
}

type InkProps = {
  map: ChangeChoice;
  opacity: number;
  span: number;
  own: number;
  onOpacity: (opacity: number) => void;
  onSpan: (span: number) => void;
};

/** How strongly the map is laid on, and what its colours end at. */
export function MapInk({ map, opacity, span, own, onOpacity, onSpan }: InkProps) {
  const spans = [...new Set([own, ...SPANS[map]])].sort((a, b) => a - b);
  return (
    <div className={`${css.ink} no-print`}>
      <label className={css.slider}>
        Opacity
        <input
          type="range"
          min={0}
          max={1}
          step={0.05}
          value={opacity}
          onChange={(event) => onOpacity(Number(event.target.value))}
          aria-valuetext={`${Math.round(opacity * 100)} %`}
        />
      </label>
      <label className={css.slider}>
        Ends at
        <select value={span} onChange={(event) => onSpan(Number(event.target.value))}>
          {spans.map((one) => (
            <option key={one} value={one}>
              &plusmn; {one} {MAP_WORDS[map].unit}
            </option>
          ))}
        </select>
      </label>
    </div>
  );
}

type MoveProps = { zoom: number; onZoom: (factor: number) => void; onMove: (dx: number, dy: number) => void; onWhole: () => void };
const STEP_PX = 80;

export function MoveControl({ zoom, onZoom, onMove, onWhole }: MoveProps) {
  const still = zoom <= 1;
  const button = (label: string, path: string, press: () => void, off = false) => (
    <button type="button" aria-label={label} title={label} onClick={press} disabled={off} className={css.tool}>
      <svg width="14" height="14" viewBox="0 0 14 14" aria-hidden="true" focusable="false">
        <path d={path} fill="none" stroke="currentColor" strokeWidth="1.7" />
      </svg>
    </button>
  );
  return (
    <fieldset className={css.tools}>
      <legend className="unseen">Zoom and move</legend>
      {button('Zoom in', 'M7 2v10M2 7h10', () => onZoom(1.4))}
      {button('Zoom out', 'M2 7h10', () => onZoom(1 / 1.4), still)}
      {button('Whole picture', 'M2 5V2h3M9 2h3v3M12 9v3H9M5 12H2V9', onWhole, still)}
      {button('Look further left', 'M9 2L4 7l5 5', () => onMove(STEP_PX, 0), still)}
      {button('Look further right', 'M5 2l5 5-5 5', () => onMove(-STEP_PX, 0), still)}
      {button('Look further up', 'M2 9l5-5 5 5', () => onMove(0, STEP_PX), still)}
      {button('Look further down', 'M2 5l5 5 5-5', () => onMove(0, -STEP_PX), still)}
      <span className={`${css.zoom} number`}>{zoom.toFixed(1)}&times;</span>
    </fieldset>
  );
}

type BlinkProps = { shown: 'before' | 'after'; everyMs: number | null; onFlip: () => void; onBlink: (everyMs: number | null) => void };

export function BlinkControl({ shown, everyMs, onFlip, onBlink }: BlinkProps) {
  const id = useId();
  return (
    <fieldset className={css.tools}>
      <legend className="unseen">Blink between before and after</legend>
      <button type="button" onClick={onFlip} aria-pressed={shown === 'before'} disabled={everyMs !== null}>
        Show before here
      </button>
      <button type="button" onClick={() => onBlink(everyMs === null ? USUAL_BLINK_MS : null)} aria-pressed={everyMs !== null}>
        {everyMs === null ? 'Blink' : 'Stop blinking'}
      </button>
      {everyMs !== null && (
        <>
          <label className="unseen" htmlFor={id}>
            Blinking speed
          </label>
          <select id={id} value={everyMs} onChange={(event) => onBlink(Number(event.target.value))}>
            {BLINK_RATES.map((rate) => (
              <option key={rate.everyMs} value={rate.everyMs}>
                {rate.label}
              </option>
            ))}
          </select>
        </>
      )}
    </fieldset>
  );
}
