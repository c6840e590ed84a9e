'use client';
/** How far a series is, and what can be asked of it: stop, go on, measure failed pairs again, write an export without names. */
import { useRouter } from 'next/navigation';
import { useId, useState } from 'react';
import { ask } from '#app/_parts/ask.ts';
import { answeredOf, type SeriesNews, seriesNewsSchema } from '#shared/series-job.ts';
import css from './series.module.css';
import { isResting, progressWords, stateWords } from './series-words.ts';
import { useSeriesNews } from './use-series-news.ts';

type Props = { first: SeriesNews; measurable: boolean };
type Asked = { do: 'stop' | 'measure' | 'again' } | { do: 'export'; keepGroups: boolean };

export function SeriesDesk({ first, measurable }: Props) {
  const router = useRouter();
  const [news, setNews] = useSeriesNews(first, () => router.refresh());
  const [fault, setFault] = useState<string | null>(null);
  const send = async (body: Asked) => {
    setFault(null);
    const heard = await ask(seriesNewsSchema, `/api/series/${news.id}`, { method: 'POST', body });
    if (heard.ok) setNews(heard.value);
    else setFault(`${heard.message} ${heard.advice}`);
  };
  const { progress } = news;
  const counts = progress?.counts ?? null;
  const { done, all } = counts ? answeredOf(counts) : { done: 0, all: 0 };
  const resting = isResting(news);
  const step = news.stopAsked && !resting ? 'Stopping' : progress?.step;

  return (
    <section aria-labelledby="progress" className={`sheet ${css.desk}`}>
      <h2 id="progress" className="unseen">
        Progress
      </h2>
      <p role="status">
        <strong>{sentence(stateWords(news))}</strong>
        {!resting && step ? <span className="soft">: {step}</span> : null}
      </p>
      {counts && (
        <>
          <progress max={Math.max(1, all)} value={done} aria-label="Pairs answered" />
          <p className="small">
            {progressWords(news)}. {counts.measured} measured, {counts.notComparable} not comparable, {counts.failed} failed
            {counts.running > 0 && !resting ? `, ${counts.running} in hand` : ''}.
          </p>
        </>
      )}
      {news.fault && (
        <p className="note stop small" role="alert">
          {news.fault.message}
        </p>
      )}
      {progress?.remarks.map((remark) => (
        <p key={remark} className="note small">
          {remark}
        </p>
      ))}
      {fault && (
        <p className="note stop small" role="alert">
          {fault}
        </p>
      )}
      <div className="row">
        {!resting && (
          <button type="button" disabled={news.stopAsked} onClick={() => void send({ do: 'stop' })}>
            Stop
          </button>
        )}
        {resting && (
          <button type="button" onClick={() => void send({ do: 'measure' })}>
            {goOnWords(news, done < all || !measurable)}
          </button>
        )}
        {resting && counts !== null && counts.failed > 0 && (
          <button type="button" onClick={() => void send({ do: 'again' })}>
            Measure failed pairs again
          </button>
        )}
      </div>
      <p className="small soft">
        Stopping keeps every answer. Going on reads the manifest and looks at the photographs anew, and measures only what is open or has
        changed.
      </p>
      {resting && measurable && <ExportForm onAsk={(keepGroups) => void send({ do: 'export', keepGroups })} />}
    </section>
  );
}

const goOnWords = ({ state }: SeriesNews, open: boolean): string =>
  state === 'failed' ? 'Try again' : open ? 'Go on' : 'Look for changes and go on';

function ExportForm({ onAsk }: { onAsk: (keepGroups: boolean) => void }) {
  const id = useId();
  const [keep, setKeep] = useState(false);
  return (
    <details className={css.quiet}>
      <summary className="small">Write an export that names nobody</summary>
      <p className="small" id={`${id}about`}>
        The tables without paths, file names, cameras, sentences or days. Subjects, visits and raters go by codes under a key that stays in
        the folder of the series. The numbers are still those of faces; whether they may be handed on is for the study&rsquo;s rules to say.
      </p>
      <form
        className="row"
        onSubmit={(event) => {
          event.preventDefault();
          onAsk(keep);
        }}
      >
        <label className="tick">
          <input type="checkbox" checked={keep} onChange={(event) => setKeep(event.target.checked)} />
          Keep the names of groups
        </label>
        <button type="submit" aria-describedby={`${id}about`}>
          Write it
        </button>
      </form>
    </details>
  );
}

const sentence = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
