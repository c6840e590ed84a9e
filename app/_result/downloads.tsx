/** Files of a comparison to keep: the report, the table, the whole result, pictures and maps. */
import { viewLabel } from '#app/_parts/check-words.ts';
import type { View } from '#shared/comparison.ts';
import { type PlatePart, plateFileName } from '#shared/plates.ts';
import css from './result.module.css';

const PICTURES: readonly Readonly<{ part: PlatePart; label: string }>[] = [
  { part: 'before', label: 'before' },
  { part: 'afterAligned', label: 'after, aligned' },
  { part: 'afterRelit', label: 'after, same light' },
  { part: 'changeMap', label: 'map of change' },
  { part: 'lightnessMap', label: 'map of lightness' },
];

export function Downloads({ id, files, views }: { id: string; files: readonly string[]; views: readonly View[] }) {
  const has = (name: string) => files.includes(name);
  const href = (name: string) => `/api/comparisons/${id}/files/${name}`;
  return (
    <section className={`sheet no-print ${css.wide}`} aria-labelledby="downloads">
      <h2 id="downloads">Keep</h2>
      <p className={css.downloads}>
        {has('report.html') && (
          <a className="button" href={href('report.html')} target="_blank" rel="noreferrer">
            Report, to read or print
          </a>
        )}
        {has('report.html') && (
          <a className="button" href={`${href('report.html')}?save`} download>
            Report as a file
          </a>
        )}
        <a className="button" href={`/api/comparisons/${id}/report.pdf?save`} download>
          Report (PDF)
        </a>
        {has('table.csv') && (
          <a className="button" href={`${href('table.csv')}?save`} download>
            Table (CSV)
          </a>
        )}
        <a className="button" href={`/api/comparisons/${id}/comparison.json`} download>
          Everything (JSON)
        </a>
        {has('evidence.json') && (
          <a className="button" href={`${href('evidence.json')}?save`} download>
            Evidence (JSON)
          </a>
        )}
      </p>
      {views.map((view) => {
        const pictures = PICTURES.filter(({ part }) => has(plateFileName(view, part)));
        if (pictures.length === 0) return null;
        return (
          <p key={view} className="small">
            {viewLabel(view)}:{' '}
            {pictures.map(({ part, label }, i) => (
              <span key={part}>
                {i > 0 && ', '}
                <a href={`${href(plateFileName(view, part))}?save`} download>
                  {label}
                </a>
              </span>
            ))}
          </p>
        );
      })}
    </section>
  );
}
