'use client';
/**
 * Before and after, side by side and in step. The second pane can show the before instead, by key or blinking, so that a
 * change shows as movement; maps lie over the after only.
 */
import { type KeyboardEvent, type RefObject, useCallback, useImperativeHandle, useMemo, useRef, useState } from 'react';
import type { View, ZoneResult } from '#shared/comparison.ts';
import type { Evidence } from '#shared/field.ts';
import { signed, withUnit } from '#shared/numbers.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import type { Scene } from './draw-pane.ts';
import { isChange, MAP_WORDS, type MapChoice, ownSpan } from './map-choice.ts';
import { MapLegend, TrustLegend } from './map-legend.tsx';
import { Pane, type PaneEvents } from './pane.tsx';
import css from './result.module.css';
import { USUAL_BLINK_MS, useBlink } from './use-blink.ts';
import { useChangeMap } from './use-change-map.ts';
import { type Look, usePictures, usePlateFields, usePlateInfo } from './use-plate.ts';
import { usePort } from './use-port.ts';
import { useSpaceBar } from './use-space-bar.ts';
import { BlinkControl, LookControl, MapControl, MapInk, MoveControl } from './viewer-controls.tsx';
import { viewerAct } from './viewer-keys.ts';
import { zoneReader } from './zone-reader.ts';

export type ViewerHandle = Readonly<{ show: (zone: ZoneId) => void }>;

type Props = {
  id: string;
  view: View;
  measured: boolean;
  names: Readonly<{ before: string; after: string }>;
  zones: readonly ZoneResult[];
  marked: ZoneId | null;
  evidence: Evidence | null;
  onMark: (zone: ZoneId | null) => void;
  /** The marked zone was picked, by press or by Enter. */
  onPick: (zone: ZoneId) => void;
  handle: RefObject<ViewerHandle | null>;
};

export function Viewer({ id, view, measured, names, zones, marked, evidence, onMark, onPick, handle }: Props) {
  const [look, setLook] = useState<Look>(measured ? 'relit' : 'taken');
  const [map, setMap] = useState<MapChoice>(measured ? 'displacement' : 'none');
  const [opacity, setOpacity] = useState(0.8);
  const [chosenSpan, setChosenSpan] = useState<number | null>(null);
  const [allOutlines, setAllOutlines] = useState(false);
  const [point, setPoint] = useState<readonly [number, number] | null>(null);
  const { shown, flip, everyMs, blink } = useBlink();
  const stage = useRef<HTMLElement>(null);

  const { pictures, failed } = usePictures(id, view, look);
  const info = usePlateInfo(id, view, measured);
  const fields = usePlateFields(id, view, measured);
  const mapUsable = measured && look !== 'taken';
  const span = isChange(map) ? (chosenSpan ?? (info ? ownSpan(info, map) : 1)) : 1;
  const painted = useChangeMap(fields, info, mapUsable ? map : 'none', span);

  const chooseMap = (next: MapChoice) => {
    setMap(next);
    setChosenSpan(null);
  };

  const hands = usePort(stage, pictures?.before ?? null, info, look);
  const { port } = hands;

  const zoneAt = useMemo(() => (look === 'taken' || !fields || !info ? null : zoneReader(fields, info)), [fields, info, look]);
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
      if (!loops) return;
      hands.frame(loops);
      if (look === 'taken') setLook('relit');
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
    const act = event.target === event.currentTarget ? viewerAct(event) : null;
    if (!act) return;
    event.preventDefault();
    if (act.act === 'zoom') hands.zoomMiddle(act.factor);
    else if (act.act === 'move') hands.move(act.dx, act.dy);
    else if (act.act === 'zone') stepZone(act.by);
    else if (act.act === 'whole') hands.whole();
    else if (act.act === 'blink') blink(everyMs === null ? USUAL_BLINK_MS : null);
    else if (marked) onPick(marked);
  };
  useSpaceBar(flip);

  const hatched = useMemo(() => (map === 'none' ? [] : zones.filter((zone) => !zone.assessable).map((zone) => zone.zone)), [zones, map]);
  const outlined = allOutlines ? seen : [];
  const line = evidence?.zones.find((one) => one.zone === marked)?.lines[view] ?? null;
  const scene = (picture: ImageBitmap | undefined, withMap: boolean): Omit<Scene, 'density'> | null =>
    picture
      ? {
          picture,
          port,
          map: withMap ? painted : null,
          mapOpacity: opacity,
          info: look === 'taken' ? null : info,
          outlined,
          marked,
          line,
          hatched: withMap ? hatched : [],
        }
      : null;
  const sceneKey = [pictures, port, painted, opacity, info, allOutlines, marked, line, hatched, look] as const;
  // biome-ignore lint/correctness/useExhaustiveDependencies: a scene is what is listed in its key
  const beforeScene = useMemo(() => scene(pictures?.before, false), sceneKey);
  // biome-ignore lint/correctness/useExhaustiveDependencies: as above, and which picture is shown
  const secondScene = useMemo(
    () => (shown === 'after' ? scene(pictures?.after, true) : scene(pictures?.before, false)),
    [...sceneKey, shown],
  );
  const events: PaneEvents = { onZoom: hands.zoomAt, onMove: hands.move, onPoint, onPick: () => marked && onPick(marked) };
  const waiting = !pictures && !failed;

  return (
    <section className={css.viewer} aria-label="Pictures">
      <div className={`${css.controls} no-print`}>
        <LookControl look={look} measured={measured} onLook={setLook} />
        {measured && <MapControl map={map} usable={mapUsable} onMap={chooseMap} />}
      </div>
      <section
        ref={stage}
        className={css.stage}
        aria-label="Before and after, moving in step"
        aria-describedby="viewer-keys"
        // biome-ignore lint/a11y/noNoninteractiveTabindex: the stage takes keys, which the help below it names
        tabIndex={0}
        onKeyDown={key}
      >
        <Pane label="Before" name={names.before} scene={beforeScene} loading={waiting} failed={failed} near={hands.near} {...events} />
        <Pane
          label={shown === 'after' ? 'After' : 'Before'}
          name={shown === 'after' ? names.after : names.before}
          scene={secondScene}
          loading={waiting}
          failed={failed}
          near={hands.near}
          {...events}
        />
      </section>
      <p className={`${css.pointed} number small`}>
        {pointed?.zone ? zoneLabel(pointed.zone) : marked ? zoneLabel(marked) : '\u00a0'}
        {pointed?.value !== null && pointed?.value !== undefined && map !== 'none' && (
          <>
            : {isChange(map) ? withUnit(signed(pointed.value, 2), MAP_WORDS[map].unit) : `light trusted to ${Math.round(pointed.value)} %`}{' '}
            here
          </>
        )}
      </p>
      <div className={`row no-print ${css.under}`}>
        <MoveControl zoom={port.zoom} onZoom={hands.zoomMiddle} onMove={(dx, dy) => hands.move(dx, dy)} onWhole={hands.whole} />
        <BlinkControl shown={shown} everyMs={everyMs} onFlip={flip} onBlink={blink} />
        {measured && (
          <label className="tick small">
            <input
              type="checkbox"
              checked={allOutlines}
              disabled={look === 'taken'}
              onChange={(event) => setAllOutlines(event.target.checked)}
            />{' '}
            All outlines
          </label>
        )}
      </div>
      {map === 'trust' && mapUsable && (
        <div className={css.legendRow}>
          <TrustLegend />
        </div>
      )}
      {isChange(map) && mapUsable && (
        <div className={css.legendRow}>
          <MapLegend map={map} span={span} />
          <MapInk
            map={map}
            opacity={opacity}
            span={span}
            own={info ? ownSpan(info, map) : span}
            onOpacity={setOpacity}
            onSpan={setChosenSpan}
          />
        </div>
      )}
      <details className={`${css.keys} small no-print`}>
        <summary>Keys</summary>
        <p id="viewer-keys">
          Space shows the before in the second pane, and again the after. With the pictures in focus: plus and minus zoom, arrows move, 0
          shows the whole picture, b blinks, z and Shift+z go from zone to zone, Enter opens the zone in the table.
        </p>
      </details>
    </section>
  );
}
