'use client';
/**
 * The displacement field on the face, turnable. Dragging, wheel, keys and buttons do the same; where the browser cannot draw it
 * the flat map stands in its place.
 */
import { type KeyboardEvent, type RefObject, useEffect, useId, useImperativeHandle, useRef, useState } from 'react';
import { signed, withUnit } from '#shared/numbers.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import { MAP_WORDS, ownSpan, SPANS } from './map-choice.ts';
import { MapLegend } from './map-legend.tsx';
import { plateHref } from './plate-file.ts';
import css from './result.module.css';
import { zoneTurn } from './surface-mesh.ts';
import type { Pointed, SurfaceScene } from './surface-scene.ts';
import { FRONT, type TurnAct, turnAct, turned, turnWords } from './turn.ts';
import { TurnControl } from './turn-control.tsx';
import { useSurface } from './use-field.ts';
import { useSurfaceHands } from './use-surface-hands.ts';
import type { ViewerHandle } from './viewer.tsx';

const RELIEFS = [1, 5, 10] as const;

type Props = {
  id: string;
  marked: ZoneId | null;
  onMark: (zone: ZoneId | null) => void;
  onPick: (zone: ZoneId) => void;
  handle: RefObject<ViewerHandle | null>;
};

export function SurfaceView({ id, marked, onMark, onPick, handle }: Props) {
  const { surface, failed } = useSurface(id);
  const [scene, setScene] = useState<SurfaceScene | null>(null);
  const [missing, setMissing] = useState(false);
  const [turn, setTurn] = useState(FRONT);
  const [relief, setRelief] = useState<number>(5);
  const [photo, setPhoto] = useState(true);
  const [chosenSpan, setChosenSpan] = useState<number | null>(null);
  const [pointed, setPointed] = useState<Pointed | null>(null);
  const stage = useRef<HTMLElement>(null);
  const canvas = useRef<HTMLCanvasElement>(null);
  const names = { relief: useId(), keys: useId() };
  const own = surface ? ownSpan(surface.info, 'displacement') : 1;
  const span = chosenSpan ?? own;

  useEffect(() => {
    const element = canvas.current;
    if (!surface || !element) return;
    let opened: SurfaceScene | null = null;
    let gone = false;
    const fit = new ResizeObserver(() => opened?.resize(element.clientWidth, element.clientHeight, window.devicePixelRatio));
    const lost = () => setMissing(true);
    import('./surface-scene.ts')
      .then(({ openSurfaceScene }) => {
        if (gone) return;
        opened = openSurfaceScene(element, surface.mesh, surface.photo, ownSpan(surface.info, 'displacement'));
        element.addEventListener('webglcontextlost', lost);
        fit.observe(element);
        setScene(opened);
      })
      .catch(() => gone || setMissing(true));
    return () => {
      gone = true;
      element.removeEventListener('webglcontextlost', lost);
      fit.disconnect();
      opened?.dispose();
      setScene(null);
    };
  }, [surface]);
  useEffect(() => scene?.turn(turn), [scene, turn]);
  useEffect(() => scene?.exaggerate(relief), [scene, relief]);
  useEffect(() => scene?.span(span), [scene, span]);
  useEffect(() => scene?.photograph(photo), [scene, photo]);
  useEffect(() => scene?.mark(marked), [scene, marked]);

  const act = (one: TurnAct) => setTurn((was) => turned(was, one));
  useSurfaceHands(canvas, scene, {
    onAct: act,
    onPoint: (at) => {
      setPointed(at);
      onMark(at?.zone ?? null);
    },
    onPick: (at) => at.zone && onPick(at.zone),
  });
  const key = (event: KeyboardEvent<HTMLElement>) => {
    const one = event.target === event.currentTarget ? turnAct(event) : null;
    if (!one) return;
    event.preventDefault();
    act(one);
  };
  useImperativeHandle(handle, () => ({
    show: (zone) => {
      const to = surface ? zoneTurn(surface.mesh, zone) : null;
      if (to) setTurn(turned({ ...FRONT, zoom: 1.3 }, { act: 'turn', ...to }));
      onMark(zone);
      stage.current?.scrollIntoView({ block: 'nearest' });
    },
  }));

  if (missing && surface)
    return (
      <section className={css.viewer} aria-label="Surface">
        <p className="note warn small">
          This browser cannot draw the turnable surface, because WebGL is missing or switched off. The flat map below shows the same
          displacement; every number is in the table.
        </p>
        <div className={css.stage1}>
          {/* biome-ignore lint/performance/noImgElement: a local file of fixed size, never optimised */}
          <img
            className={css.still}
            src={plateHref({ id, view: surface.info.view }, 'changePicture')}
            alt="The after photograph with the map of displacement over it"
          />
        </div>
        <MapLegend map="displacement" span={own} />
      </section>
    );

  return (
    <section className={css.viewer} aria-label="Surface">
      <div className={`${css.controls} no-print`}>
        <fieldset className={css.choice}>
          <legend>Relief</legend>
          {RELIEFS.map((times) => (
            <label key={times} className={css.pill}>
              <input type="radio" name={names.relief} checked={relief === times} onChange={() => setRelief(times)} />
              {times === 1 ? 'as measured' : `${times}\u00d7`}
            </label>
          ))}
        </fieldset>
        <label className="tick small">
          <input type="checkbox" checked={photo} onChange={(event) => setPhoto(event.target.checked)} /> Photograph on it
        </label>
      </div>
      <section
        ref={stage}
        className={css.stage1}
        aria-label="The face as a surface, turnable"
        aria-describedby={names.keys}
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the stage takes keys, which the help below it names
        tabIndex={0}
        onKeyDown={key}
      >
        <canvas
          ref={canvas}
          className={css.surface}
          role="img"
          aria-label={`Displacement on the face, ${turnWords(turn)}, relief ${relief === 1 ? 'as measured' : `${relief} times larger`}`}
          data-ready={scene !== null}
        />
        {!scene && !failed && <p className={css.loading}>Loading</p>}
        {failed && (
          <p className={css.loading} role="alert">
            The surface could not be loaded. Reload the page.
          </p>
        )}
      </section>
      <p className={`${css.pointed} number small`}>
        {pointed?.zone ? zoneLabel(pointed.zone) : marked ? zoneLabel(marked) : '\u00a0'}
        {pointed?.zone && (pointed.mm === null ? ': not measured here' : <>: {withUnit(signed(pointed.mm, 2), 'mm')} here</>)}
      </p>
      <div className={`row no-print ${css.under}`}>
        <TurnControl turn={turn} onAct={act} />
        <span className="small soft" role="status">
          {turnWords(turn)}
        </span>
      </div>
      <div className={css.legendRow}>
        <MapLegend map="displacement" span={span} />
        <label className={`${css.slider} small no-print`}>
          Ends at
          <select value={span} onChange={(event) => setChosenSpan(Number(event.target.value))}>
            {[...new Set([own, ...SPANS.displacement])]
              .sort((a, b) => a - b)
              .map((one) => (
                <option key={one} value={one}>
                  &plusmn; {one} {MAP_WORDS.displacement.unit}
                </option>
              ))}
          </select>
        </label>
      </div>
      {relief > 1 && (
        <p className="small soft">
          The displacement is drawn {relief} times larger than it was measured; the colours show the measured mm.
        </p>
      )}
      <details className={`${css.keys} small no-print`}>
        <summary>Keys</summary>
        <p id={names.keys}>With the surface in focus: arrows turn it, plus and minus come nearer and go back, 0 shows it from the front.</p>
      </details>
    </section>
  );
}
