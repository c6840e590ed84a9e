'use client';
/** How far a comparison is: the step's name, the share done, a way to stop it. Tells a screen reader each step once. */
import type { JobNews } from '#shared/job-news.ts';
import css from './job-progress.module.css';

export function JobProgress({ news, onStop }: { news: JobNews; onStop: () => void }) {
  const step = news.stopAsked ? 'Stopping' : news.state === 'waiting' ? 'Waiting for its turn' : news.step || 'Starting';
  return (
    <div className={css.progress}>
      <div className={css.words}>
        <span role="status">{sentence(step)}</span>
        <span className="number soft">{Math.round(news.fraction * 100)} %</span>
      </div>
      <progress max={1} value={news.fraction} aria-label="Measured so far" />
      <button type="button" onClick={onStop} disabled={news.stopAsked}>
        Stop
      </button>
    </div>
  );
}

const sentence = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
