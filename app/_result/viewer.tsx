'use client';
/**
 * Before and after, side by side and in step. The second pane can show the before instead, by key or blinking, so that a
 * change shows as movement; maps lie over the after only.
 */
import { type KeyboardEvent, type RefObject, useCallback, useEffect, useImperativeHandle, useMemo, useRef, useState } from 'react';
import type { View, ZoneResult } from '#shared/comparison.ts';
import { signed, withUnit } from '#shared/numbers.ts';
import type { PlateInfo } from '#shared/plates.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import type { Scene } from './draw-pane.ts';
import { fieldOf, MAP_WORDS, type MapChoice, ownSpan } from './map-choice.ts';
import { MapLegend } from './map-legend.tsx';
import { Pane, type PaneEvents } from './pane.tsx';
import css from './result.module.css';
import { useBlink } from './use-blink.ts';
import { useChangeMap } from './use-change-map.ts';
import { type Fields, type Look, usePictures, usePlateFields, usePlateInfo } from './use-plate.ts';
import { framed, moved, type Port, type Size, WHOLE, zoomedAt } from './view-port.ts';
import { BlinkControl, LookControl, MapControl, MapInk, MoveControl } from './viewer-controls.tsx';

export type ViewerHandle = Readonly<{ show: (zone: ZoneId) => void }>;

type Props = {
  id: string;
  view: View;
  measured: boolean;
  names: Readonly<{ before: string; after: string }>;
  zones: readonly ZoneResult[];
  marked: ZoneId | null;
  onMark: (zone: ZoneId | null) => void;
  /** The marked zone was picked, by press or by Enter. */
  onPick: (zone: ZoneId) => void;
  handle: RefObject<ViewerHandle | null>;
};

const ARROW_PX = 60;
const KEY_ZOOM = 1.25;

export function Viewer({ id, view, measured, names, zones, marked, onMark, onPick, handle }: Props) {
  const [look, setLook] = useState<Look>(measured ? 'relit' : 'taken');
  const [map, setMap] = useState<MapChoice>(measured ? 'displacement' : 'none');
  const [opacity, setOpacity] = useState(0.8);
  const [chosenSpan, setChosenSpan] = useState<number | null>(null);
  const [allOutlines, setAllOutlines] = useState(false);
  const [port, setPort] = useState<Port>(WHOLE);
  const [point, setPoint] = useState<readonly [number, number] | null>(null);
  const { shown, flip, everyMs, blink } = useBlink();
  const stage = useRef<HTMLDivElement>(null);

  const { pictures, failed } = usePictures(id, view, look);
  const info = usePlateInfo(id, view, measured);
  const fields = usePlateFields(id, view, measured);
  const mapUsable = measured && look !== 'taken';
  const span = map === 'none' ? 1 : (chosenSpan ?? (info ? ownSpan(info, map) : 1));
  const painted = useChangeMap(fields, info, mapUsable ? map : 'none', span);

  const chooseMap = (next: MapChoice) => {
    setMap(next);
    setChosenSpan(null);
  };

  const paneSize = useCallback((): Size => stage.current?.querySelector('canvas')?.getBoundingClientRect() ?? { width: 1, height: 1 }, []);
  const pictureSize = pictures?.before ?? null;
  const act = useCallback((change: (port: Port, pane: Size, picture: Size) => Port, pane: Size) => pictureSize && setPort((was) => change(was, pane, pictureSize)), [pictureSize]);
  const zoom = useCallback((factor: number, at: readonly [number, number], pane: Size) => act((was, p, picture) => zoomedAt(was, factor, p, picture, at), pane), [act]);
  const move = useCallback((dx: number, dy: number, pane: Size) => act((was, p, picture) => moved(was, dx, dy, p, picture), pane), [act]);
  const zoomMiddle = (factor: number) => {
    const pane = paneSize();
    zoom(factor, [pane.width / 2, pane.height / 2], pane);
  };

  const zoneAt = useMemo(() => (look === 'taken' || !fields || !info ? null : readerOf(fields, info)), [fields, info, look]);
  const pointed = point && zoneAt ? zoneAt(point, map) : null;
  const onPoint = useCallback(
    (at: readonly [number, number] | null) => {
      setPoint(at);
      if (zoneAt) onMark(at ? zoneAt(at, 'none').zone : null);
    },
    [zoneAt, onMark],
  );

  useImperativeHandle(handle, () => ({
    show: (zone) => {
      const loops = info?.zoneOutlines[zone];
      if (!loops || !pictureSize) return;
      if (look === 'taken') setLook('relit');
      setPort(framed(boxOf(loops), paneSize(), info));
      stage.current?.scrollIntoView({ block: 'nearest' });
    },
  }));

  const seen = useMemo(() => (info ? ZONE_IDS.filter((zone) => info.zoneOutlines[zone]) : []), [info]);
  const stepZone = (by: number) => {
    if (seen.length === 0) return;
    const at = marked ? seen.indexOf(marked) : by > 0 ? -1 : 0;
    onMark(seen[(at + by + seen.length) % seen.length]!);
  };
  const key = (event: KeyboardEvent<HTMLElement>) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.target !== event.currentTarget) return;
    const pane = paneSize();
    const does: Readonly<Record<string, () => void>> = {
      '+': () => zoomMiddle(KEY_ZOOM), '=': () => zoomMiddle(KEY_ZOOM), '-': () => zoomMiddle(1 / KEY_ZOOM), '0': () => setPort(WHOLE),
      ArrowLeft: () => move(ARROW_PX, 0, pane), ArrowRight: () => move(-ARROW_PX, 0, pane), ArrowUp: () => move(0, ARROW_PX, pane), ArrowDown: () => move(0, -ARROW_PX, pane),
      z: () => stepZone(1), Z: () => stepZone(-1), Enter: () => marked && onPick(marked), b: () => blink(everyMs === null ? 800 : null),
    };
    if (!does[event.key]) return;
    event.preventDefault();
    does[event.key]!();
  };
  useSpaceBar(flip);

  const hatched = useMemo(() => (map === 'none' ? [] : zones.filter((zone) => !zone.assessable).map((zone) => zone.zone)), [zones, map]);
  const outlined = allOutlines ? seen : [];
  const scene = (picture: ImageBitmap | undefined, withMap: boolean): Omit<Scene, 'density'> | null =>
    picture ? { picture, port, map: withMap ? painted : null, mapOpacity: opacity, info: look === 'taken' ? null : info, outlined, marked, hatched: withMap ? hatched : [] } : null;
  const sceneKey = [pictures, port, painted, opacity, info, allOutlines, marked, hatched, look] as const;
  // biome-ignore lint/correctness/useExhaustiveDependencies: a scene is what is listed in its key
  const beforeScene = useMemo(() => scene(pictures?.before, false), sceneKey);
  // biome-ignore lint/correctness/useExhaustiveDependencies: as above, and which picture is shown
  const secondScene = useMemo(() => (shown === 'after' ? scene(pictures?.after, true) : scene(pictures?.before, false)), [...sceneKey, shown]);
  const events: PaneEvents = { onZoom: zoom, onMove: move, onPoint, onPick: () => marked && onPick(marked) };
  const waiting = !pictures && !failed;

  return (
    <section className={css.viewer} aria-label="Pictures">
      <div className={`${css.controls} no-print`}>
        <LookControl look={look} measured={measured} onLook={setLook} />
        {measured && <MapControl map={map} usable={mapUsable} onMap={chooseMap} />}
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: the stage takes keys, which the help below it names */}
      <div ref={stage} className={css.stage} role="group" aria-label="Before and after, moving in step" aria-describedby="viewer-keys" tabIndex={0} onKeyDown={key}>
        <Pane label="Before" name={names.before} scene={beforeScene} loading={waiting} failed={failed} {...events} />
        <Pane label={shown === 'after' ? 'After' : 'Before'} name={shown === 'after' ? names.after : names.before} scene={secondScene} loading={waiting} failed={failed} {...events} />
      </div>
      <p className={`${css.pointed} number small`}>
        {pointed?.zone ? zoneLabel(pointed.zone) : marked ? zoneLabel(marked) : '\u00a0'}
        {pointed?.value !== null && pointed?.value !== undefined && map !== 'none' && <>: {withUnit(signed(pointed.value, 2), MAP_WORDS[map].unit)} here</>}
      </p>
      <div className={`row no-print ${css.under}`}>
        <MoveControl zoom={port.zoom} onZoom={zoomMiddle} onMove={(dx, dy) => move(dx, dy, paneSize())} onWhole={() => setPort(WHOLE)} />
        <BlinkControl shown={shown} everyMs={everyMs} onFlip={flip} onBlink={blink} />
        {measured && (
          <label className="tick small">
            <input type="checkbox" checked={allOutlines} disabled={look === 'taken'} onChange={(event) => setAllOutlines(event.target.checked)} /> All outlines
          </label>
        )}
      </div>
      {map !== 'none' && mapUsable && (
        <div className={css.legendRow}>
          <MapLegend map={map} span={span} />
          <MapInk map={map} opacity={opacity} span={span} own={info ? ownSpan(info, map) : span} onOpacity={setOpacity} onSpan={setChosenSpan} />
        </div>
      )}
      <details className={`${css.keys} small no-print`}>
        <summary>Keys</summary>
        <p id="viewer-keys">
          Space shows the before in the second pane, and again the after. With the pictures in focus: plus and minus zoom, arrows move, 0 shows the whole picture, b blinks, z and
          Shift+z go from zone to zone, Enter opens the zone in the table.
        </p>
      </details>
    </section>
  );
}

/** What lies under a place given as parts of the picture. */
function readerOf(fields: Fields, { width, height }: PlateInfo) {
  return ([x, y]: readonly [number, number], map: MapChoice): { zone: ZoneId | null; value: number | null } => {
    const at = Math.min(height - 1, Math.floor(y * height)) * width + Math.min(width - 1, Math.floor(x * width));
    const zone = ZONE_IDS[fields.zoneIndex[at] ?? -1] ?? null;
    const value = map === 'none' ? Number.NaN : fieldOf(fields, map)[at]!;
    return { zone, value: Number.isNaN(value) ? null : value };
  };
}

function boxOf(loops: readonly (readonly number[])[]): { left: number; top: number; right: number; bottom: number } {
  const xs = loops.flatMap((loop) => loop.filter((_, i) => i % 2 === 0));
  const ys = loops.flatMap((loop) => loop.filter((_, i) => i % 2 === 1));
  return { left: Math.min(...xs), right: Math.max(...xs), top: Math.min(...ys), bottom: Math.max(...ys) };
}

/** The space bar, unless it belongs to a control that has the focus. Holding it down counts once. */
function useSpaceBar(flip: () => void): void {
  useEffect(() => {
    const down = (event: globalThis.KeyboardEvent) => {
      if (event.key !== ' ' || event.ctrlKey || event.altKey || event.metaKey) return;
      if (event.target instanceof Element && event.target.closest('button, a, input, select, textarea, summary, [contenteditable]')) return;
      event.preventDefault();
      if (!event.repeat) flip();
    };
    window.addEventListener('keydown', down);
    return () => window.removeEventListener('keydown', down);
  }, [flip]);
}
