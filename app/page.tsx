/** The bench, the comparisons made so far, and what a newcomer needs to know. */
import { Bench } from '#app/_bench/bench.tsx';
import { RecentList } from '#app/_bench/recent-list.tsx';
import { RunnerNotice } from '#app/_bench/runner-notice.tsx';
import { CautionNotes } from '#app/_parts/caution-notes.tsx';
import { record } from '#app/_server/record.ts';
import { withheldAmong } from '#app/_server/withheld.ts';
import { setUpWords } from '#lib/report/set-up-words.ts';
import css from './home.module.css';

export default async function Home() {
  const [all, running, waiting, alive, setUps] = await Promise.all([
    record().listComparisons({ limit: 50 }),
    record().jobs({ state: 'running', kind: 'compare', limit: 10 }),
    record().jobs({ state: 'waiting', kind: 'compare', limit: 10 }),
    record().runnerAlive(),
    record().listSetUps(),
  ]);
  const hidden = await withheldAmong(all.map(({ id }) => id));
  const comparisons = all.filter(({ id }) => !hidden.has(id));
  const pending = [...running, ...waiting].map((job) => ({
    id: job.id,
    title: job.request.kind === 'compare' ? job.request.title : '',
    demo: job.request.kind === 'compare' && job.request.demo === true,
  }));
  const own = comparisons.filter((comparison) => !comparison.demo).length;

  return (
    <>
      <div className={css.head}>
        <h1>What changed between two photographs, and is it more than the error?</h1>
        <p className="soft">
          Add photographs of one face from before and after. They are put into the same pose, light and scale, and every zone is measured
          with its interval.
        </p>
      </div>
      <RunnerNotice alive={alive} />
      <Bench setUps={setUps.map(({ sha256, profile }) => ({ sha256, words: `${setUpWords(profile)}, ${profile.madeOn}` }))} />
      <div className={css.below}>
        <section aria-labelledby="recent">
          <h2 id="recent">Comparisons</h2>
          {own === 0 && (
            <p className="small soft">
              None of your own yet. The demo case is an invented face, drawn by this program with a loss put into it, to show what an answer
              looks like.
            </p>
          )}
          <RecentList comparisons={comparisons} pending={pending} />
        </section>
        <CautionNotes />
      </div>
    </>
  );
}
