'use client';
/** Zones chosen by ticking names or by clicking the face; the names are the way by keyboard. */
import type { ReactNode } from 'react';
import { ZONE_GROUPS } from '#app/_bench/zone-groups.ts';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';
import { FaceDiagram } from './face-diagram.tsx';
import css from './zone-choice.module.css';

type Props = {
  legend: string;
  help: ReactNode;
  chosen: ReadonlySet<ZoneId>;
  onChange: (chosen: ReadonlySet<ZoneId>) => void;
  /** Under the drawing, such as what the practice expects in the zones chosen. */
  children?: ReactNode;
};

export function ZoneChoice({ legend, help, chosen, onChange, children }: Props) {
  const toggle = (zone: ZoneId) => {
    const next = new Set(chosen);
    if (!next.delete(zone)) next.add(zone);
    onChange(next);
  };
  return (
    <fieldset className={css.choice}>
      <legend>{legend}</legend>
      <p className="small soft">{help}</p>
      <div className={css.body}>
        <div className={css.diagram}>
          <FaceDiagram chosen={chosen} onToggle={toggle} />
          <p className="small soft" aria-live="polite">
            {chosen.size === 0 ? 'No zone chosen.' : `${chosen.size} ${chosen.size === 1 ? 'zone' : 'zones'} chosen.`}
          </p>
          <p className={`small soft ${css.sides}`} aria-hidden="true">
            <span>right</span>
            <span>left</span>
          </p>
        </div>
        <div className={css.lists}>
          {ZONE_GROUPS.map((group) => (
            <fieldset key={group.name}>
              <legend className="small">{group.name}</legend>
              {group.zones.map((zone) => (
                <label key={zone} className="tick small">
                  <input type="checkbox" name={zone} checked={chosen.has(zone)} onChange={() => toggle(zone)} />
                  {zoneLabel(zone)}
                </label>
              ))}
            </fieldset>
          ))}
        </div>
      </div>
      {children}
    </fieldset>
  );
}
