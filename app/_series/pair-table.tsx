/** One page of the pairs of a series: what each answered in short, and the way to its pictures. */

import { checkLabel } from '#app/_parts/check-words.ts';
import { FindingMark } from '#app/_parts/marks.tsx';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { findingSign } from '#app/_result/finding-sign.ts';
import type { StoredPair } from '#lib/record/series/types.ts';
import type { ZoneResult } from '#shared/comparison.ts';
import { intervalText, metricText } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';
import { OpenPair } from './open-pair.tsx';
import css from './series.module.css';
import { FINDING_WORDS, PAIR_STATE_WORDS } from './series-words.ts';

const MOST_ZONES = 4;

type Props = { series: string; pairs: readonly StoredPair[]; zone: string };

/** `zone`: the one that was asked for; its own numbers are shown then. */
export function PairTable({ series, pairs, zone }: Props) {
  return (
    <ScrollRegion label="Pairs">
      <table className={css.pairs}>
        <thead>
          <tr>
            <th scope="col">Subject</th>
            <th scope="col">Visits</th>
            <th scope="col">State</th>
            <th scope="col">{zone ? zoneLabel(zone as ZoneResult['zone']) : 'Beyond error'}</th>
            <th scope="col">{zone ? 'Finding' : 'Volume, all zones judged'}</th>
            <th scope="col">
              <span className="unseen">Pictures</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {pairs.map((one) => (
            <tr key={one.pair.pair}>
              <th scope="row">
                {one.pair.subject}
                {one.pair.group && <span className="small soft"> ({one.pair.group})</span>}
              </th>
              <td>
                {one.pair.beforeVisit} to {one.pair.afterVisit}
                {one.pair.kind === 'repeat' && <span className="small soft"> repeat</span>}
              </td>
              <td>{PAIR_STATE_WORDS[one.state]}</td>
              {one.state === 'measured' ? <Answer stored={one} zone={zone} /> : <WhyNot stored={one} />}
              <td>
                <OpenPair
                  series={series}
                  pair={one.pair.pair}
                  words={`${one.pair.subject}, ${one.pair.beforeVisit} to ${one.pair.afterVisit}`}
                />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </ScrollRegion>
  );
}

function Answer({ stored: { comparison }, zone }: { stored: StoredPair; zone: string }) {
  const zones = comparison?.zones ?? [];
  if (zone) {
    const result = zones.find((one) => one.zone === zone);
    const volume = result?.metrics.volumeMl;
    return (
      <>
        <td>
          {volume ? (
            <>
              <span className="number">{metricText('volumeMl', volume.value)}</span>{' '}
              <span className="soft">({intervalText('volumeMl', volume.ci95)})</span>
            </>
          ) : (
            <span className="soft">no number</span>
          )}
        </td>
        <td>
          {result && (
            <span className={css.zones}>
              <FindingMark finding={result.finding} sign={findingSign(result)} /> {FINDING_WORDS[result.finding]}
            </span>
          )}
        </td>
      </>
    );
  }
  const beyond = zones.filter((one) => one.finding === 'beyond-error');
  const pooled = comparison?.pooled?.volumeMl;
  return (
    <>
      <td>
        {beyond.length === 0 ? (
          <span className="soft">no zone</span>
        ) : (
          <ul className={css.zones}>
            {beyond.slice(0, MOST_ZONES).map((one) => (
              <li key={one.zone}>
                <FindingMark finding={one.finding} sign={findingSign(one)} /> {zoneLabel(one.zone)}
              </li>
            ))}
            {beyond.length > MOST_ZONES && <li className="soft">and {beyond.length - MOST_ZONES} more</li>}
          </ul>
        )}
      </td>
      <td>
        {pooled ? (
          <>
            <span className="number">{metricText('volumeMl', pooled.value)}</span>{' '}
            <span className="soft">({intervalText('volumeMl', pooled.ci95)})</span>
          </>
        ) : (
          <span className="soft">no number</span>
        )}
      </td>
    </>
  );
}

function WhyNot({ stored: { fault, comparison } }: { stored: StoredPair }) {
  const refusing = comparison?.gate.checks.filter(({ verdict }) => verdict === 'refuse') ?? [];
  const first = refusing[0];
  return (
    <td colSpan={2} className="small">
      {fault?.message}
      {first && (
        <>
          {checkLabel(first.id)}: {first.message}
          {refusing.length > 1 && <span className="soft"> And {refusing.length - 1} more.</span>}
        </>
      )}
    </td>
  );
}
