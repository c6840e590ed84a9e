/** The filter above the table of pairs: a plain form, whose answer is another address. */
import Link from 'next/link';
import { FINDINGS } from '#shared/comparison.ts';
import { ZONE_IDS, zoneLabel } from '#shared/zones.ts';
import type { PairQuery } from './pair-query.ts';
import css from './series.module.css';
import { FINDING_WORDS, PAIR_STATE_WORDS } from './series-words.ts';

export function PairFilterForm({ series, query }: { series: string; query: PairQuery }) {
  const { subject, state, zone, finding } = query;
  return (
    <form className={css.filter} role="search" method="get" action={`/series/${series}#pairs`} key={JSON.stringify(query)}>
      <div>
        <label htmlFor="pair-subject" className="small">
          Subject begins with
        </label>
        <input id="pair-subject" name="subject" type="search" maxLength={80} autoComplete="off" defaultValue={subject} />
      </div>
      <div>
        <label htmlFor="pair-state" className="small">
          State
        </label>
        <select id="pair-state" name="state" defaultValue={state}>
          <option value="">any</option>
          {Object.entries(PAIR_STATE_WORDS).map(([one, words]) => (
            <option key={one} value={one}>
              {words}
            </option>
          ))}
        </select>
      </div>
      <div>
        <label htmlFor="pair-zone" className="small">
          Zone
        </label>
        <select id="pair-zone" name="zone" defaultValue={zone}>
          <option value="">any</option>
          {ZONE_IDS.map((one) => (
            <option key={one} value={one}>
              {zoneLabel(one)}
            </option>
          ))}
        </select>
      </div>
      <div>
        <label htmlFor="pair-finding" className="small">
          Finding
        </label>
        <select id="pair-finding" name="finding" defaultValue={finding}>
          <option value="">any</option>
          {FINDINGS.map((one) => (
            <option key={one} value={one}>
              {FINDING_WORDS[one]}
            </option>
          ))}
        </select>
      </div>
      <button type="submit">Show</button>
      {(subject || state || zone || finding) && <Link href={`/series/${series}#pairs`}>Show all</Link>}
    </form>
  );
}
