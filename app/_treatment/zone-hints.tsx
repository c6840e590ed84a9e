/** What the practice expects in the zones chosen, each line marked with where it comes from. */
import { SOURCE_WORDS } from '#shared/fact-source.ts';
import type { ZoneHint } from '#shared/practice.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import css from './treatment.module.css';

export function ZoneHints({ chosen, hints }: { chosen: ReadonlySet<ZoneId>; hints: readonly ZoneHint[] }) {
  const telling = hints
    .map((hint) => ({ hint, zones: hint.zones.filter((zone) => chosen.has(zone)) }))
    .filter(({ zones }) => zones.length > 0);
  return (
    <div aria-live="polite">
      {telling.length > 0 && (
        <ul className={css.hints} aria-label="Expected in the zones chosen">
          {telling.map(({ hint, zones }) => (
            <li key={hint.text}>
              <strong>{zones.map((zone) => zoneLabel(zone).replace(',', '')).join(', ')}:</strong> {hint.text}{' '}
              <span className={css.source}>{SOURCE_WORDS[hint.source]}</span>
            </li>
          ))}
        </ul>
      )}
    </div>
  );
}
