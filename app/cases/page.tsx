/** The cases of the practice: found by code, opened, begun. */
import type { Metadata } from 'next';
import Link from 'next/link';
import css from '#app/_case/case.module.css';
import { NewCase } from '#app/_case/new-case.tsx';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { book } from '#app/_server/actor.ts';
import { today } from '#app/_server/case-context.ts';
import { count } from '#lib/report/set-up-words.ts';

export const metadata: Metadata = { title: 'Cases' };

const MOST_LISTED = 200;
/** Cases that are proposed a number after. */
const COUNTED = 10_000;

type Props = { searchParams: Promise<{ code?: string | string[] }> };

export default async function Cases({ searchParams }: Props) {
  const { code } = await searchParams;
  const search = typeof code === 'string' ? code.trim().slice(0, 32) : '';
  const cases = await book();
  const [found, all] = await Promise.all([
    cases.listCases({ ...(search ? { search } : {}), limit: MOST_LISTED }),
    cases.listCases({ limit: COUNTED }),
  ]);
  const day = today();
  return (
    <>
      <h1>Cases</h1>
      <NewCase
        proposed={proposedCode(
          all.map((one) => one.code),
          day,
        )}
        today={day}
        open={all.length === 0}
      />
      <section aria-labelledby="all-cases" className={css.section}>
        <h2 id="all-cases">{search ? `Codes with \u201c${search}\u201d` : 'All cases'}</h2>
        <form className="row" role="search" method="get">
          <label htmlFor="code-search" className="small">
            Find by code
          </label>
          <input id="code-search" type="search" name="code" defaultValue={search} maxLength={32} autoComplete="off" />
          <button type="submit">Find</button>
          {search && <Link href="/cases">Show all</Link>}
        </form>
        {found.length === 0 ? (
          <p className="small soft">{search ? 'No code has these letters in it.' : 'None yet.'}</p>
        ) : (
          <ScrollRegion label="Cases">
            <table className={css.caseTable}>
              <thead>
                <tr>
                  <th scope="col">Code</th>
                  <th scope="col">Visits</th>
                  <th scope="col">Last visit</th>
                  <th scope="col">Complaints</th>
                </tr>
              </thead>
              <tbody>
                {found.map((one) => (
                  <tr key={one.id}>
                    <th scope="row">
                      <Link href={`/cases/${one.id}`} prefetch={false}>
                        {one.code}
                      </Link>
                    </th>
                    <td>{one.visits === 0 ? 'none' : `${one.visits}, with ${count(one.photos, 'photograph')}`}</td>
                    <td className={css.date}>{one.lastOn ?? ''}</td>
                    <td>{one.openComplaints > 0 ? `${one.openComplaints} open` : ''}</td>
                  </tr>
                ))}
              </tbody>
            </table>
          </ScrollRegion>
        )}
        {found.length === MOST_LISTED && <p className="small soft">Only the {MOST_LISTED} last used are listed. Find others by code.</p>}
      </section>
    </>
  );
}

/** The year and the next free number: says nothing of the person. */
function proposedCode(codes: readonly string[], day: string): string {
  const taken = new Set(codes);
  const year = day.slice(0, 4);
  for (let n = codes.filter((code) => code.startsWith(`${year}-`)).length + 1; ; n++) {
    const code = `${year}-${String(n).padStart(3, '0')}`;
    if (!taken.has(code)) return code;
  }
}
