/** What the page is told of a series: never its manifest or its files. */
import type { StoredSeries } from '#lib/record/series-types.ts';
import type { SeriesNews } from '#shared/series-job.ts';

export const seriesNews = ({ id, state, task, stopAsked, progress, fault }: StoredSeries): SeriesNews => ({
  id,
  state,
  task,
  stopAsked,
  progress,
  fault,
});
