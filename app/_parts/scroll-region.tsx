/** A wide table's own scrolling place, which the keyboard can reach (WCAG 2.1.1). */
import type { ReactNode } from 'react';
import css from './scroll-region.module.css';

export function ScrollRegion({ label, children }: { label: string; children: ReactNode }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls must be reachable by keyboard
    <section className={css.scroll} aria-label={label} tabIndex={0}>
      {children}
    </section>
  );
}
