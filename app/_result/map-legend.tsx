/** The legend of the map that is shown, zero in its middle, and the sign for what was not measured. */
import { legendSvg } from '#lib/report/legend-svg.ts';
import { MAP_WORDS, type MapChoice } from './map-choice.ts';
import css from './result.module.css';

export function MapLegend({ map, span }: { map: Exclude<MapChoice, 'none'>; span: number }) {
  const { label, unit, ends } = MAP_WORDS[map];
  return (
    <div className={css.legend}>
      {/* biome-ignore lint/security/noDangerouslySetInnerHtml: our own drawing, its texts escaped by lib/report */}
      <div dangerouslySetInnerHTML={{ __html: legendSvg({ span, unit, title: label, ends }, 'viewer') }} />
      <p className={`${css.hatchKey} small`}>
        <svg width="20" height="14" viewBox="0 0 20 14" aria-hidden="true" focusable="false">
          <rect width="20" height="14" fill="none" stroke="currentColor" />
          <path d="M0 14L14 0M6 14L20 0M-6 14L8 0M12 14l8-8" stroke="currentColor" fill="none" />
        </svg>
        not measured, or not to be trusted
      </p>
    </div>
  );
}
