'use client';
/** Which zone's course is shown. */
import { useRouter } from 'next/navigation';
import { useId } from 'react';
import { type ZoneId, zoneLabel } from '#shared/zones.ts';

/** `zones` have a result, the strongest finding first. */
export function ZoneField({ zone, zones }: { zone: ZoneId; zones: readonly ZoneId[] }) {
  const id = useId();
  const router = useRouter();
  const listed = zones.includes(zone) ? zones : [zone, ...zones];
  return (
    <p className="row">
      <label htmlFor={id} className="small">
        Zone
      </label>
      <select id={id} value={zone} onChange={(event) => router.replace(`?zone=${event.target.value}`, { scroll: false })}>
        {listed.map((one) => (
          <option key={one} value={one}>
            {zoneLabel(one)}
          </option>
        ))}
      </select>
      <span className="small soft">Strongest finding first.</span>
    </p>
  );
}
