'use client';
/**
 * Which of the two pictures the second pane shows, and the blinking between them.
 *
 * Never more than one change in a third of a second, by hand or by itself: WCAG 2.3.1 allows three flashes in a second,
 * and a pair of opposing changes is one flash, so this keeps to half of what is allowed.
 */
import { useCallback, useEffect, useRef, useState } from 'react';

export const LEAST_GAP_MS = 334;
export const USUAL_BLINK_MS = 800;
export const BLINK_RATES = [
  { label: 'slow', everyMs: 1500 },
  { label: 'medium', everyMs: USUAL_BLINK_MS },
  { label: 'fast', everyMs: 400 },
] as const;

export type Shown = 'before' | 'after';

export function useBlink(): { shown: Shown; flip: () => void; everyMs: number | null; blink: (everyMs: number | null) => void } {
  const [shown, setShown] = useState<Shown>('after');
  const [everyMs, setEveryMs] = useState<number | null>(null);
  const last = useRef(0);

  const flip = useCallback(() => {
    const now = performance.now();
    if (now - last.current < LEAST_GAP_MS) return;
    last.current = now;
    setShown((was) => (was === 'after' ? 'before' : 'after'));
  }, []);
  const blink = useCallback((every: number | null) => {
    setEveryMs(every === null ? null : Math.max(LEAST_GAP_MS, every));
    if (every === null) setShown('after');
  }, []);

  useEffect(() => {
    if (everyMs === null) return;
    const timer = setInterval(flip, everyMs);
    return () => clearInterval(timer);
  }, [everyMs, flip]);

  return { shown, flip, everyMs, blink };
}
