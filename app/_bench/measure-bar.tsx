'use client';
/** Says what will be measured and what stands in the way; starts the comparison, shows how far it is, opens the result. */
import { useRouter } from 'next/navigation';
import { useEffect, useState } from 'react';
import { z } from 'zod';
import { ask } from '#app/_parts/ask.ts';
import { viewLabel } from '#app/_parts/check-words.ts';
import { FaultNote } from '#app/_parts/fault-note.tsx';
import { JobProgress } from '#app/_parts/job-progress.tsx';
import { useJobNews } from '#app/_parts/use-job-news.ts';
import { type CompareRequest, idSchema, type ScaleHintRequest } from '#shared/job.ts';
import { isOver, type JobNews } from '#shared/job-news.ts';
import css from './bench.module.css';
import { readiness, type Trays } from './cards.ts';
import { datesFault, type Options, requestOptions } from './options.ts';

const acceptedSchema = z.object({ id: idSchema });
const anySchema = z.unknown();

type Props = { trays: Trays; options: Options; scale: ScaleHintRequest | null; afterDayKnown: string | null };

export function MeasureBar({ trays, options, scale, afterDayKnown }: Props) {
  const router = useRouter();
  const [news, setNews] = useState<JobNews | null>(null);
  const [fault, setFault] = useState<{ message: string; advice: string } | null>(null);
  const running = news !== null && !isOver(news);
  useJobNews(running ? [news.id] : [], setNews);

  useEffect(() => {
    if (news?.state === 'done') router.push(`/comparison/${news.id}`);
    if (news?.state === 'failed') setFault({ message: news.fault?.message ?? 'The measurement failed.', advice: '' });
  }, [news, router]);

  const ready = readiness(trays);
  const dates = datesFault({ ...options, afterOn: options.afterOn || afterDayKnown || '' });
  const hindrance = hindranceOf(trays, ready, scale, dates);

  const start = async (again = false) => {
    if (hindrance !== null || !scale) return;
    setFault(null);
    const request: CompareRequest = {
      kind: 'compare',
      title: options.title.trim() || `${ready.before[0]!.name} and ${ready.after[0]!.name}`.slice(0, 200),
      before: [...ready.before],
      after: [...ready.after],
      options: requestOptions(options, scale),
    };
    const asked = await ask(acceptedSchema, `/api/jobs${again ? '?again=1' : ''}`, { method: 'POST', body: request });
    if (asked.ok)
      setNews({ id: asked.value.id, kind: 'compare', state: 'waiting', step: '', fraction: 0, stopAsked: false, fault: null, check: null });
    else setFault(asked);
  };
  const stop = () => news && void ask(anySchema, `/api/jobs/${news.id}`, { method: 'DELETE' });

  return (
    <section className={css.measure} aria-label="Measure">
      {running ? (
        <JobProgress news={news} onStop={stop} />
      ) : (
        <>
          <button
            type="button"
            className="main"
            aria-disabled={hindrance !== null}
            aria-describedby="measure-words"
            onClick={() => void start(fault !== null)}
          >
            Measure
          </button>
          <div id="measure-words" className={`${css.measureWords} small`}>
            <p>{hindrance ?? `Will be measured: ${ready.shared.map((view) => viewLabel(view).toLowerCase()).join('; ')}.`}</p>
            {ready.shared.length > 0 && ready.alone.length > 0 && (
              <p className="soft">
                Left out: {ready.alone.map(({ side, view }) => `${viewLabel(view).toLowerCase()} (only ${side})`).join('; ')}.
              </p>
            )}
          </div>
        </>
      )}
      {news?.state === 'stopped' && <p role="status">The measurement was stopped. Nothing was kept of it.</p>}
      {fault && <FaultNote fault={fault} />}
    </section>
  );
}

/** What has to happen before anything can be measured, in a sentence; null when nothing. */
function hindranceOf(
  trays: Trays,
  ready: ReturnType<typeof readiness>,
  scale: ScaleHintRequest | null,
  dates: string | null,
): string | null {
  if (trays.before.length === 0 && trays.after.length === 0) return 'Add a photograph from before and one from after.';
  if (trays.before.length === 0) return 'Add a photograph from before.';
  if (trays.after.length === 0) return 'Add a photograph from after.';
  if (ready.busy) return 'The photographs are still being checked.';
  if (scale === null) return 'Complete the length under Scale.';
  if (dates !== null) return dates;
  if (ready.shared.length > 0) return null;
  const seen = (side: 'before' | 'after') => ready.alone.filter((one) => one.side === side).map((one) => viewLabel(one.view).toLowerCase());
  if (seen('before').length === 0 || seen('after').length === 0)
    return `No usable photograph is in the ${seen('before').length === 0 ? 'before' : 'after'} tray. See what its card says.`;
  return `The trays show no view in common: before has ${seen('before').join(', ')}; after has ${seen('after').join(', ')}. Add a photograph of the same view.`;
}
