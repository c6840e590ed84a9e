/** The legend of the map that is shown, zero in its middle, and the sign for what was not measured. */
import { legendSvg } from '#lib/report/legend-svg.ts';
import { VEIL } from '#lib/report/trust-map.ts';
import { type ChangeChoice, MAP_WORDS } from './map-choice.ts';
import css from './result.module.css';

export function MapLegend({ map, span }: { map: ChangeChoice; span: number }) {
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

/** What the veil of the trust map means. */
export function TrustLegend() {
  const { label, ends } = MAP_WORDS.trust;
  const veil = `rgb(${VEIL.join(' ')})`;
  return (
    <div className={css.legend}>
      <svg width="320" height="48" viewBox="0 0 320 48" role="img" fontSize="11" fill="currentColor">
        <title>{`${label}, from ${ends[0]} (thick veil) to ${ends[1]} (clear)`}</title>
        <defs>
          <linearGradient id="trust-scale">
            <stop offset="0" stopColor={veil} stopOpacity="0.85" />
            <stop offset="1" stopColor={veil} stopOpacity="0" />
          </linearGradient>
        </defs>
        <text x="22" y="12">
          {ends[0]}
        </text>
        <text x="298" y="12" textAnchor="end">
          {ends[1]}
        </text>
        <rect x="22" y="18" width="276" height="14" fill="url(#trust-scale)" stroke="currentColor" strokeOpacity="0.5" />
      </svg>
      <p className={`${css.hatchKey} small`}>
        Veiled: cast shadow, highlight, hair or make-up, which the light model could not explain. Such places count little or not at all.
      </p>
    </div>
  );
}
