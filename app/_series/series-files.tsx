/** What a series made, to be taken away: tables, the study, the export that names nobody. */
import type { SeriesFile, SeriesSet } from '#lib/record/series-types.ts';
import css from './series.module.css';

const SETS: Readonly<Record<SeriesSet, { title: string; about: string }>> = {
  tables: { title: 'Tables', about: 'With labels and file names as the manifest has them.' },
  study: { title: 'Study', about: 'Repeatability, change by zone, groups, course, raters, and where the data went.' },
  deidentified: { title: 'Export that names nobody', about: 'Codes for subjects, visits and raters; no paths, days or sentences.' },
};

const WORDS: Readonly<Record<string, string>> = {
  'results.csv': 'Results: pair, zone, metric',
  'results.parquet': 'Results as Parquet',
  'pairs.csv': 'Pairs',
  'ratings.csv': 'Grades of raters',
  'failures.csv': 'What was not measured, and why',
  'inputs.csv': 'Photographs with their hashes',
  'datapackage.json': 'What every column means',
  'ro-crate-metadata.json': 'Where all of it comes from (RO-Crate)',
  'study.html': 'Study report',
  'study.pdf': 'Study report as PDF',
  'study.json': 'Study figures as JSON',
};

/** In the order above: what is wanted most comes first. */
const place = ({ name }: SeriesFile): number => Object.keys(WORDS).indexOf(name);

export function SeriesFiles({ series, files }: { series: string; files: readonly SeriesFile[] }) {
  const sets = (Object.keys(SETS) as SeriesSet[]).filter((set) => files.some((file) => file.set === set));
  if (sets.length === 0) return <p className="small soft">Nothing yet. They are written when the series is done, or stopped.</p>;
  return (
    <div className={css.files}>
      {sets.map((set) => {
        const own = files.filter((file) => file.set === set).sort((a, b) => place(a) - place(b));
        return (
          <section key={set} aria-labelledby={`files-${set}`}>
            <h3 id={`files-${set}`}>{SETS[set].title}</h3>
            <p className="small soft">
              {SETS[set].about} Written <span className="number">{own[0]!.writtenAt.slice(0, 16).replace('T', ' ')}</span> UTC.
            </p>
            <ul>
              {own.map(({ name, bytes }) => (
                <li key={name}>
                  <a href={`/api/series/${series}/files/${set}/${name}`} {...(/\.(html|pdf)$/.test(name) ? {} : { download: '' })}>
                    {WORDS[name] ?? name}
                  </a>
                  <span className="number soft">{sizeWords(bytes)}</span>
                </li>
              ))}
            </ul>
          </section>
        );
      })}
    </div>
  );
}

function sizeWords(bytes: number): string {
  if (bytes < 1000) return `${bytes} B`;
  return bytes < 1e6 ? `${Math.round(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(1)} MB`;
}
