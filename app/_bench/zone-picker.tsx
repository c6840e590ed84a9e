'use client';
/** The treated zones, by ticking names or clicking the face. */
import { FaceDiagram } from '#app/_parts/face-diagram.tsx';
import { REFERENCE_ZONES, type ZoneId, zoneLabel } from '#shared/zones.ts';
import css from './bench.module.css';
import { ZONE_GROUPS } from './zone-groups.ts';

type Props = { chosen: ReadonlySet<ZoneId>; onChange: (chosen: ReadonlySet<ZoneId>) => void };

export function ZonePicker({ chosen, onChange }: Props) {
  const toggle = (zone: ZoneId) => {
    const next = new Set(chosen);
    if (!next.delete(zone)) next.add(zone);
    onChange(next);
  };
  const losesControl = REFERENCE_ZONES.filter((zone) => chosen.has(zone));
  return (
    <fieldset className={css.zones}>
      <legend>Treated zones</legend>
      <p className="small soft">
        Where gel was dissolved. Left and right are the patient&rsquo;s. Untreated zones are measured too; the treated ones are tested
        together as well.
      </p>
      <div className={css.zonesBody}>
        <div className={css.diagram}>
          <FaceDiagram chosen={chosen} onToggle={toggle} />
          <p className="small soft" aria-live="polite">
            {chosen.size === 0 ? 'None chosen.' : `${chosen.size} chosen.`}{' '}
          </p>
          {chosen.size > 0 && (
            <button type="button" className="plain" onClick={() => onChange(new Set())}>
              Choose none
            </button>
          )}
        </div>
        <div className={css.zoneLists}>
          {ZONE_GROUPS.map((group) => (
            <fieldset key={group.name}>
              <legend className="small">{group.name}</legend>
              {group.zones.map((zone) => (
                <label key={zone} className="tick small">
                  <input type="checkbox" checked={chosen.has(zone)} onChange={() => toggle(zone)} />
                  {zoneLabel(zone)}
                </label>
              ))}
            </fieldset>
          ))}
        </div>
      </div>
      {losesControl.length > 0 && (
        <p className="note warn small">
          {losesControl.map(zoneLabel).join(' and ')} {losesControl.length > 1 ? 'are reference zones' : 'is a reference zone'}: when
          treated, {losesControl.length > 1 ? 'they' : 'it'} can no longer serve as the negative control, and every interval grows.
        </p>
      )}
    </fieldset>
  );
}
