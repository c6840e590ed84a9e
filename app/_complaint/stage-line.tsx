/** The stages of a complaint with the times recorded: the proof that the rating came before the measurement. */
import type { Complaint } from '#shared/case.ts';
import css from './complaint.module.css';
import { stageTimes, timeWords } from './complaint-times.ts';

export function StageLine({ complaint }: { complaint: Complaint }) {
  const stages = stageTimes(complaint);
  const next = stages.find(({ at }) => at === null)?.stage;
  return (
    <ol className={css.stages} aria-label="Stages of this complaint">
      {stages.map(({ stage, words, at }) => (
        <li key={stage} data-done={at !== null} aria-current={stage === next ? 'step' : undefined}>
          <span>{words}</span>
          <span className="small soft number">{at ? <time dateTime={at}>{timeWords(at)}</time> : stage === next ? 'next' : 'to come'}</span>
        </li>
      ))}
    </ol>
  );
}
