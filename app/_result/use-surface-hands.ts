'use client';
/** Pointer and wheel on the surface: one finger turns, two fingers or the wheel come nearer, resting points. */
import { type RefObject, useEffect, useRef } from 'react';
import type { Pointed, SurfaceScene } from './surface-scene.ts';
import type { TurnAct } from './turn.ts';

type Hands = Readonly<{ onAct: (act: TurnAct) => void; onPoint: (at: Pointed | null) => void; onPick: (at: Pointed) => void }>;

/** Degrees for each CSS px dragged. */
const DEGREES_PER_PX = 0.4;
const WHEEL_STEP = 0.0016;
/** A press that moves less than this is a pick. */
const STILL_PX = 4;

export function useSurfaceHands(canvas: RefObject<HTMLCanvasElement | null>, scene: SurfaceScene | null, hands: Hands): void {
  const latest = useRef(hands);
  latest.current = hands;
  useEffect(() => {
    const element = canvas.current;
    if (!element || !scene) return;
    const fingers = new Map<number, readonly [number, number]>();
    let travelled = 0;
    let frame = 0;
    const pointed = ({ offsetX, offsetY }: PointerEvent): Pointed | null =>
      scene.at((2 * offsetX) / element.clientWidth - 1, 1 - (2 * offsetY) / element.clientHeight);
    const down = (event: PointerEvent): void => {
      element.setPointerCapture(event.pointerId);
      fingers.set(event.pointerId, [event.offsetX, event.offsetY]);
      travelled = 0;
    };
    const move = (event: PointerEvent): void => {
      const before = fingers.get(event.pointerId);
      if (!before) {
        cancelAnimationFrame(frame);
        frame = requestAnimationFrame(() => latest.current.onPoint(pointed(event)));
        return;
      }
      const [dx, dy] = [event.offsetX - before[0], event.offsetY - before[1]];
      travelled += Math.hypot(dx, dy);
      const other = [...fingers].find(([pointer]) => pointer !== event.pointerId)?.[1];
      fingers.set(event.pointerId, [event.offsetX, event.offsetY]);
      if (!other) {
        latest.current.onAct({ act: 'turn', yaw: DEGREES_PER_PX * dx, pitch: -DEGREES_PER_PX * dy });
        return;
      }
      const apart = ([x, y]: readonly [number, number]): number => Math.max(1, Math.hypot(x - other[0], y - other[1]));
      latest.current.onAct({ act: 'zoom', factor: apart([event.offsetX, event.offsetY]) / apart(before) });
    };
    const up = (event: PointerEvent): void => {
      if (!fingers.delete(event.pointerId) || event.type !== 'pointerup' || travelled >= STILL_PX) return;
      const at = pointed(event);
      latest.current.onPoint(at);
      if (at) latest.current.onPick(at);
    };
    const leave = (): void => {
      cancelAnimationFrame(frame);
      latest.current.onPoint(null);
    };
    const wheel = (event: WheelEvent): void => {
      if (!event.ctrlKey && document.activeElement !== element.parentElement) return; // the page scrolls on
      event.preventDefault();
      latest.current.onAct({ act: 'zoom', factor: Math.exp(-event.deltaY * WHEEL_STEP * (event.deltaMode === 1 ? 16 : 1)) });
    };
    const listeners = [
      ['pointerdown', down],
      ['pointermove', move],
      ['pointerup', up],
      ['pointercancel', up],
      ['pointerleave', leave],
    ] as const;
    for (const [name, listener] of listeners) element.addEventListener(name, listener);
    element.addEventListener('wheel', wheel, { passive: false });
    return () => {
      cancelAnimationFrame(frame);
      for (const [name, listener] of listeners) element.removeEventListener(name, listener);
      element.removeEventListener('wheel', wheel);
    };
  }, [canvas, scene]);
}
