'use client';
/** One hint of the practice: its zones, its text, and whose word it is. A text that is changed becomes the practice's own. */
import { ZONE_GROUPS } from '#app/_bench/zone-groups.ts';
import { FormField } from '#app/_treatment/form-field.tsx';
import { SOURCE_WORDS } from '#shared/fact-source.ts';
import { USUAL_SETTINGS, type ZoneHint } from '#shared/practice.ts';
import { ZONE_IDS, type ZoneId, zoneLabel } from '#shared/zones.ts';
import css from './settings.module.css';
import type { HintFields } from './settings-fields.ts';

type Props = { hint: HintFields; place: number; onChange: (hint: HintFields) => void; onRemove: () => void };

export function HintEditor({ hint, place, onChange, onRemove }: Props) {
  const chosen = new Set(hint.zones);
  const toggle = (zone: ZoneId) => {
    if (!chosen.delete(zone)) chosen.add(zone);
    onChange({ ...hint, zones: ZONE_IDS.filter((one) => chosen.has(one)) });
  };
  const retext = (text: string) => {
    const usual = USUAL_SETTINGS.hints.some((one) => one.text === text);
    onChange({ ...hint, text, source: usual ? 'common-practice' : 'practice' });
  };
  return (
    <fieldset className={css.hint}>
      <legend>Hint {place}</legend>
      <FormField label="Text">
        {(wear) => <textarea {...wear} rows={3} maxLength={400} value={hint.text} onChange={(event) => retext(event.target.value)} />}
      </FormField>
      <details>
        <summary>
          Zones: {hint.zones.length === 0 ? 'none yet' : hint.zones.map((zone) => zoneLabel(zone).replace(',', '')).join(', ')}
        </summary>
        <div className={css.zones}>
          {ZONE_GROUPS.flatMap(({ zones }) => zones).map((zone) => (
            <label key={zone} className="tick small">
              <input type="checkbox" checked={chosen.has(zone)} onChange={() => toggle(zone)} />
              {zoneLabel(zone)}
            </label>
          ))}
        </div>
      </details>
      <div className={css.foot}>
        <FormField label="Shown as">
          {(wear) => (
            <select
              {...wear}
              value={hint.source}
              onChange={(event) => onChange({ ...hint, source: event.target.value as ZoneHint['source'] })}
            >
              {Object.entries(SOURCE_WORDS).map(([source, words]) => (
                <option key={source} value={source}>
                  {words}
                </option>
              ))}
            </select>
          )}
        </FormField>
        <button type="button" onClick={onRemove} aria-label={`Remove hint ${place}`}>
          Remove
        </button>
      </div>
    </fieldset>
  );
}
