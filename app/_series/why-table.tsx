/** What was not measured and why, counted by reason: rows of the manifest, pairs that failed, pairs that are not comparable. */
import Link from 'next/link';
import { checkLabel } from '#app/_parts/check-words.ts';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import type { LeftOutRow } from '#lib/record/series/types.ts';
import type { PairTally } from '#lib/record/series-types.ts';
import type { CheckId } from '#shared/comparison.ts';
import { pairAddress } from './pair-query.ts';
import css from './series.module.css';
import { PAIR_STATE_WORDS } from './series-words.ts';

const MOST_ROWS = 12;

type Props = { series: string; tally: readonly PairTally[]; leftOut: readonly LeftOutRow[] };

export function WhyTable({ series, tally, leftOut }: Props) {
  if (tally.length === 0 && leftOut.length === 0) return <p className="small soft">Nothing was left out.</p>;
  return (
    <>
      {tally.length > 0 && (
        <ScrollRegion label="Reasons">
          <table className={css.list}>
            <thead>
              <tr>
                <th scope="col" className="number">
                  Pairs
                </th>
                <th scope="col">How they ended</th>
                <th scope="col">Reason</th>
                <th scope="col">Such as</th>
              </tr>
            </thead>
            <tbody>
              {tally.map((one) => (
                <tr key={`${one.state} ${one.code}`}>
                  <td className="number">{one.pairs}</td>
                  <td>
                    <Link href={pairAddress(series, { state: one.state })} prefetch={false}>
                      {PAIR_STATE_WORDS[one.state]}
                    </Link>
                  </td>
                  <td>{one.message ?? checkWords(one.code)}</td>
                  <td>{one.example}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </ScrollRegion>
      )}
      {leftOut.length > 0 && (
        <div>
          <p>{leftOut.length === 1 ? 'One remark' : `${leftOut.length} remarks`} on the manifest; these rows were left out:</p>
          <ul className={`small ${css.faults}`}>
            {leftOut.slice(0, MOST_ROWS).map(({ line, message }) => (
              <li key={`${line} ${message}`}>
                Row {line}: {message}
              </li>
            ))}
            {leftOut.length > MOST_ROWS && <li>and {leftOut.length - MOST_ROWS} more, all of them in failures.csv</li>}
          </ul>
        </div>
      )}
    </>
  );
}

const checkWords = (codes: string): string =>
  codes
    .split(' ')
    .filter((code) => code !== '')
    .map((code) => checkLabel(code as CheckId) ?? code)
    .join(', ');
