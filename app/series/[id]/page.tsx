/** One series: how far it is, what was left out, its pairs a page at a time, and what it made. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { notFound } from 'next/navigation';
import { RunnerNotice } from '#app/_bench/runner-notice.tsx';
import { PairFilterForm } from '#app/_series/pair-filter.tsx';
import { filterOf, PAIRS_A_PAGE, type PairQuery, pairAddress, pairQuery } from '#app/_series/pair-query.ts';
import { PairTable } from '#app/_series/pair-table.tsx';
import { RemoveSeries } from '#app/_series/remove-series.tsx';
import css from '#app/_series/series.module.css';
import { SeriesDesk } from '#app/_series/series-desk.tsx';
import { SeriesFiles } from '#app/_series/series-files.tsx';
import { isResting } from '#app/_series/series-words.ts';
import { WhyTable } from '#app/_series/why-table.tsx';
import { book } from '#app/_server/actor.ts';
import { firstLook } from '#app/_server/first-look.ts';
import { record } from '#app/_server/record.ts';
import { mayNameFiles } from '#app/_server/series-manifest.ts';
import { seriesNews } from '#app/_server/series-news.ts';
import { count } from '#lib/report/set-up-words.ts';
import { idSchema } from '#shared/job.ts';

type Props = { params: Promise<{ id: string }>; searchParams: Promise<Record<string, string | string[] | undefined>> };

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const id = idSchema.safeParse((await params).id);
  const series = id.success ? await record().series(id.data) : null;
  return { title: series?.title ?? 'Series' };
}

export default async function SeriesPage({ params, searchParams }: Props) {
  const id = idSchema.safeParse((await params).id);
  const series = id.success ? await record().series(id.data) : null;
  if (!series) notFound();
  if (await firstLook(`series:${series.id}`))
    await (await book()).note({ action: 'view', what: 'series', id: series.id, case: null, facts: {} });
  const query = pairQuery(await searchParams);
  const [files, alive, here] = await Promise.all([record().seriesFiles(series.id), record().runnerAlive(), mayNameFiles()]);
  const answers = answersOf(series.id, query);
  const { source } = series;
  return (
    <>
      <nav className={`small soft ${css.ways}`} aria-label="Where this page stands">
        <p>
          <Link href="/series">Series</Link> / {series.title}
        </p>
      </nav>
      <h1>{series.title}</h1>
      <p className="small soft">
        Begun <span className="number">{series.createdAt.slice(0, 10)}</span>,{' '}
        {source.kind === 'shelf'
          ? `from dropped photographs and ${source.name}`
          : here
            ? `from ${source.manifest}`
            : 'from a folder of the machine'}
        , {count(series.options.workers, 'pair')} at the same time.
      </p>
      <RunnerNotice alive={alive} />
      <SeriesDesk key={series.id} first={seriesNews(series)} measurable={answers !== null} />
      {!answers && isResting(series) && series.progress?.counts && (
        <p className="note">
          The answers of this series are not beside this record; backups leave them out. Go on, and its pairs are measured anew.
        </p>
      )}
      <section aria-labelledby="files" className={css.section}>
        <h2 id="files">Downloads</h2>
        <SeriesFiles series={series.id} files={files} />
      </section>
      {answers && (
        <>
          <section aria-labelledby="why" className={css.section}>
            <h2 id="why">Not measured, and why</h2>
            <WhyTable series={series.id} tally={answers.tally} leftOut={answers.leftOut} />
          </section>
          <section aria-labelledby="pairs" className={css.section}>
            <h2 id="pairs">Pairs</h2>
            <PairFilterForm series={series.id} query={query} />
            <Pages series={series.id} query={query} total={answers.list.total} />
            {answers.list.pairs.length > 0 && <PairTable series={series.id} pairs={answers.list.pairs} zone={query.zone} />}
          </section>
        </>
      )}
      {isResting(series) && (
        <section aria-label="Removal" className={css.section}>
          <RemoveSeries id={series.id} fromFolder={source.kind === 'folder'} />
        </section>
      )}
    </>
  );
}

/** Null before the first answer could be given. */
function answersOf(id: string, query: PairQuery) {
  const view = record().seriesView(id);
  if (!view) return null;
  try {
    const list = view.list(filterOf(query), PAIRS_A_PAGE * (query.page - 1), PAIRS_A_PAGE);
    return view.head ? { list, tally: view.tally(), leftOut: view.head.leftOut } : null;
  } finally {
    view.close();
  }
}

function Pages({ series, query, total }: { series: string; query: PairQuery; total: number }) {
  const last = Math.max(1, Math.ceil(total / PAIRS_A_PAGE));
  return (
    <nav className={`row small ${css.ways}`} aria-label="Pages of pairs">
      <span role="status">
        {total === 0
          ? 'No pair is like that.'
          : `${count(total, 'pair')}${last > 1 ? `, page ${Math.min(query.page, last)} of ${last}` : ''}.`}
      </span>
      {query.page > 1 && (
        <Link href={pairAddress(series, { ...query, page: Math.min(query.page - 1, last) })} prefetch={false}>
          Previous page
        </Link>
      )}
      {query.page < last && (
        <Link href={pairAddress(series, { ...query, page: query.page + 1 })} prefetch={false}>
          Next page
        </Link>
      )}
    </nav>
  );
}
