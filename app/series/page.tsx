/** The series of this record: begun, and found again. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { RunnerNotice } from '#app/_bench/runner-notice.tsx';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { NewSeries } from '#app/_series/new-series.tsx';
import css from '#app/_series/series.module.css';
import { stateWords } from '#app/_series/series-words.ts';
import { record } from '#app/_server/record.ts';
import { mayNameFiles } from '#app/_server/series-manifest.ts';
import { setUpWords } from '#lib/report/set-up-words.ts';
import { answeredOf } from '#shared/series-job.ts';

export const metadata: Metadata = { title: 'Series' };

const MOST_LISTED = 200;

export default async function SeriesList() {
  const [all, setUps, here, alive] = await Promise.all([
    record().listSeries(MOST_LISTED),
    record().listSetUps(),
    mayNameFiles(),
    record().runnerAlive(),
  ]);
  return (
    <>
      <h1>Series</h1>
      <p className="soft">
        Many pairs measured alike: each subject&rsquo;s follow-ups against the baseline, with tables and a study that others can check.
      </p>
      <RunnerNotice alive={alive} />
      <NewSeries
        mayNameFiles={here}
        setUps={setUps.map(({ sha256, profile }) => ({ sha256, words: `${setUpWords(profile)}, ${profile.madeOn}` }))}
        open={all.length === 0}
      />
      <section aria-labelledby="all-series" className={css.section}>
        <h2 id="all-series">All series</h2>
        {all.length === 0 ? (
          <p className="small soft">None yet.</p>
        ) : (
          <ScrollRegion label="Series">
            <table className={css.list}>
              <thead>
                <tr>
                  <th scope="col">Name</th>
                  <th scope="col">Begun</th>
                  <th scope="col">State</th>
                  <th scope="col" className="number">
                    Pairs answered
                  </th>
                </tr>
              </thead>
              <tbody>
                {all.map((one) => {
                  const counts = one.progress?.counts ? answeredOf(one.progress.counts) : null;
                  return (
                    <tr key={one.id}>
                      <th scope="row">
                        <Link href={`/series/${one.id}`} prefetch={false}>
                          {one.title}
                        </Link>
                      </th>
                      <td className={css.date}>{one.createdAt.slice(0, 10)}</td>
                      <td>{stateWords(one)}</td>
                      <td className="number">{counts ? `${counts.done} of ${counts.all}` : ''}</td>
                    </tr>
                  );
                })}
              </tbody>
            </table>
          </ScrollRegion>
        )}
        {all.length === MOST_LISTED && <p className="small soft">Only the {MOST_LISTED} newest are listed.</p>}
      </section>
    </>
  );
}
