'use client';
/** The space bar, anywhere on the page, unless it belongs to a control that has the focus. Holding it down counts once. */
import { useEffect } from 'react';

const TAKES_SPACE = 'button, a, input, select, textarea, summary, [contenteditable]';

export function useSpaceBar(press: () => void): void {
  useEffect(() => {
    const down = (event: KeyboardEvent) => {
      if (event.key !== ' ' || event.ctrlKey || event.altKey || event.metaKey) return;
      if (event.target instanceof Element && event.target.closest(TAKES_SPACE)) return;
      event.preventDefault();
      if (!event.repeat) press();
    };
    window.addEventListener('keydown', down);
    return () => window.removeEventListener('keydown', down);
  }, [press]);
}
