'use client';
/**
 * One pane of the viewer: a canvas drawn once per frame at most. Wheel and two fingers zoom, dragging moves; the same
 * can be done with buttons and keys in the viewer.
 */
import { type PointerEvent, useCallback, useEffect, useRef } from 'react';
import { drawPane, type Scene } from './draw-pane.ts';
import css from './result.module.css';
import { type Port, pictureAt, type Size } from './view-port.ts';

export type PaneEvents = Readonly<{
  onZoom: (factor: number, at: readonly [number, number], pane: Size) => void;
  onMove: (dx: number, dy: number, pane: Size) => void;
  /** Place in the picture as parts of its size, or null when the pointer has left. */
  onPoint: (at: readonly [number, number] | null) => void;
  onPick: () => void;
}>;

type Props = PaneEvents & {
  label: string;
  scene: Omit<Scene, 'density'> | null;
  loading: boolean;
  failed: boolean;
  name: string;
  near: boolean;
};

const WHEEL_STEP = 0.0016;
/** A press that moves less than this is a pick. */
const STILL_PX = 4;

export function Pane({ label, name, scene, near, loading, failed, onZoom, onMove, onPoint, onPick }: Props) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const size = useRef<Size>({ width: 0, height: 0 });
  const latest = useRef(scene);
  const frame = useRef(0);
  const fingers = useRef(new Map<number, readonly [number, number]>());
  const travelled = useRef(0);

  const draw = useCallback(() => {
    cancelAnimationFrame(frame.current);
    frame.current = requestAnimationFrame(() => {
      const context = canvas.current?.getContext('2d');
      if (!context || !canvas.current) return;
      if (latest.current && size.current.width > 0)
        drawPane(context, size.current, { ...latest.current, density: window.devicePixelRatio });
      else context.clearRect(0, 0, canvas.current.width, canvas.current.height);
    });
  }, []);

  useEffect(() => {
    latest.current = scene;
    draw();
  }, [scene, draw]);

  useEffect(() => {
    const element = canvas.current;
    if (!element) return;
    const fit = new ResizeObserver(() => {
      const { width, height } = element.getBoundingClientRect();
      size.current = { width, height };
      element.width = Math.max(1, Math.round(width * window.devicePixelRatio));
      element.height = Math.max(1, Math.round(height * window.devicePixelRatio));
      draw();
    });
    fit.observe(element);
    return () => {
      fit.disconnect();
      cancelAnimationFrame(frame.current);
    };
  }, [draw]);

  // React's wheel listeners are passive; this one must be able to hold the page still.
  useEffect(() => {
    const element = canvas.current;
    const wheel = (event: WheelEvent) => {
      const out = event.deltaY > 0;
      if (!latest.current || (out && latest.current.port.zoom <= 1)) return;
      event.preventDefault();
      onZoom(Math.exp(-event.deltaY * WHEEL_STEP * (event.deltaMode === 1 ? 16 : 1)), [event.offsetX, event.offsetY], size.current);
    };
    element?.addEventListener('wheel', wheel, { passive: false });
    return () => element?.removeEventListener('wheel', wheel);
  }, [onZoom]);

  const placeOf = (event: PointerEvent<HTMLCanvasElement>): readonly [number, number] => {
    const box = event.currentTarget.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const down = (event: PointerEvent<HTMLCanvasElement>) => {
    event.currentTarget.setPointerCapture(event.pointerId);
    fingers.current.set(event.pointerId, placeOf(event));
    travelled.current = 0;
  };
  const move = (event: PointerEvent<HTMLCanvasElement>) => {
    const at = placeOf(event);
    const before = fingers.current.get(event.pointerId);
    if (!before) return onPoint(partOf(latest.current, size.current, at));
    const other = [...fingers.current].find(([pointer]) => pointer !== event.pointerId)?.[1];
    fingers.current.set(event.pointerId, at);
    travelled.current += Math.hypot(at[0] - before[0], at[1] - before[1]);
    if (!other) return onMove(at[0] - before[0], at[1] - before[1], size.current);
    const apart = (a: readonly [number, number]) => Math.max(1, Math.hypot(a[0] - other[0], a[1] - other[1]));
    onZoom(apart(at) / apart(before), [(at[0] + other[0]) / 2, (at[1] + other[1]) / 2], size.current);
  };
  const up = (event: PointerEvent<HTMLCanvasElement>) => {
    if (fingers.current.delete(event.pointerId) && event.type === 'pointerup' && travelled.current < STILL_PX) {
      onPoint(partOf(latest.current, size.current, placeOf(event)));
      onPick();
    }
  };

  return (
    <figure className={css.pane}>
      <figcaption>
        <strong>{label}</strong> <span className={css.fileName}>{name}</span>
      </figcaption>
      <canvas
        ref={canvas}
        className={css.canvas}
        role="img"
        aria-label={`${label} photograph`}
        data-zoomed={near}
        onPointerDown={down}
        onPointerMove={move}
        onPointerUp={up}
        onPointerCancel={up}
        onPointerLeave={() => onPoint(null)}
      />
      {loading && <p className={css.loading}>Loading</p>}
      {failed && (
        <p className={css.loading} role="alert">
          This picture could not be loaded. Reload the page.
        </p>
      )}
    </figure>
  );
}

function partOf(scene: { picture: Size; port: Port } | null, pane: Size, at: readonly [number, number]): readonly [number, number] | null {
  if (!scene) return null;
  const [x, y] = pictureAt(scene.port, pane, scene.picture, at);
  const part = [x / scene.picture.width, y / scene.picture.height] as const;
  return part[0] >= 0 && part[0] < 1 && part[1] >= 0 && part[1] < 1 ? part : null;
}
