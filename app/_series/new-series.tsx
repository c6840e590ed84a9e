'use client';
/** A new series: its manifest, from a folder of this machine or dropped; what is wrong with it; and what all pairs are asked alike. */
import { type FormEvent, useId, useState } from 'react';
import { type SetUpChoice, SetUpField } from '#app/_bench/set-up-field.tsx';
import { scaleHintSchema } from '#shared/job.ts';
import { MOST_DROPPED, MOST_WORKERS } from '#shared/series-job.ts';
import { DropSeries } from './drop-series.tsx';
import css from './series.module.css';
import { type Look, useNewSeries } from './use-new-series.ts';

type Props = { mayNameFiles: boolean; setUps: readonly SetUpChoice[]; open: boolean };

export function NewSeries({ mayNameFiles, setUps, open }: Props) {
  const id = useId();
  const [from, setFrom] = useState<'folder' | 'shelf'>(mayNameFiles ? 'folder' : 'shelf');
  const [path, setPath] = useState('');
  const [title, setTitle] = useState('');
  const [workers, setWorkers] = useState('2');
  const [marker, setMarker] = useState('');
  const [byMarker, setByMarker] = useState(false);
  const [setUp, setSetUp] = useState('');
  const [slip, setSlip] = useState<string | null>(null);
  const { dropped, look, sent, busy, fault, forget, lookAt, lookAtDropped, begin } = useNewSeries();

  const submit = (event: FormEvent) => {
    event.preventDefault();
    setSlip(null);
    if (!look) {
      if (from === 'folder') void lookAt({ kind: 'folder', manifest: path.trim() }, []);
      return;
    }
    const scale = byMarker ? scaleHintSchema.safeParse({ kind: 'marker', sideMm: Number(marker.replace(',', '.')) }) : null;
    if (scale && !scale.success) return setSlip('The side of the marker is a length from 2 to 200 mm.');
    const many = Number(workers);
    if (!Number.isInteger(many) || many < 1 || many > MOST_WORKERS)
      return setSlip(`Pairs at the same time: a whole number from 1 to ${MOST_WORKERS}.`);
    void begin(title.trim(), { workers: many, scale: scale?.success ? scale.data : null, setUp: setUp || null });
  };
  const problem = slip ?? fault;

  return (
    <details className={`sheet ${css.new}`} open={open}>
      <summary>
        <strong>New series</strong>
      </summary>
      <form className={css.form} onSubmit={submit}>
        {mayNameFiles && (
          <fieldset>
            <legend>Where the photographs are</legend>
            {(['folder', 'shelf'] as const).map((one) => (
              <label key={one} className="tick">
                <input
                  type="radio"
                  name={`${id}from`}
                  checked={from === one}
                  onChange={() => {
                    setFrom(one);
                    forget();
                  }}
                />
                {one === 'folder'
                  ? 'In a folder of this machine, where they stay'
                  : `Dropped here, ${MOST_DROPPED} at most, and kept sealed`}
              </label>
            ))}
          </fieldset>
        )}
        {from === 'folder' ? (
          <div>
            <label htmlFor={`${id}path`}>Manifest</label>
            <input
              id={`${id}path`}
              value={path}
              required
              maxLength={1000}
              autoComplete="off"
              spellCheck={false}
              placeholder="/home/me/study/manifest.csv"
              aria-describedby={`${id}pathHelp`}
              onChange={(event) => {
                setPath(event.target.value);
                forget();
              }}
            />
            <p id={`${id}pathHelp`} className="small soft">
              The whole path of a .csv or .json file that names the photographs from its own folder. <code>ebbline series init</code>{' '}
              proposes one from a folder of photographs.
            </p>
          </div>
        ) : (
          <DropSeries
            words={dropped ? `${dropped.manifest.name}, with ${dropped.photos.size} photographs beside it.` : ''}
            onFiles={(files) => void lookAtDropped(files)}
          />
        )}
        {look && <LookWords look={look} />}
        {look && (
          <>
            <div>
              <label htmlFor={`${id}title`}>Name of the series</label>
              <input
                id={`${id}title`}
                value={title}
                required
                maxLength={120}
                autoComplete="off"
                onChange={(event) => setTitle(event.target.value)}
              />
            </div>
            <div className={css.columns}>
              <SetUpField chosen={setUp} setUps={setUps} onChange={setSetUp} />
              <div>
                <label htmlFor={`${id}workers`}>Pairs at the same time</label>
                <input
                  id={`${id}workers`}
                  type="number"
                  min={1}
                  max={MOST_WORKERS}
                  required
                  value={workers}
                  aria-describedby={`${id}workersHelp`}
                  onChange={(event) => setWorkers(event.target.value)}
                />
                <p id={`${id}workersHelp`} className="small soft">
                  No more than the processor has cores. Each takes up to 900 MB of memory.
                </p>
              </div>
            </div>
            <fieldset>
              <legend>Scale of all pairs</legend>
              <label className="tick">
                <input type="radio" name={`${id}scale`} checked={!byMarker} onChange={() => setByMarker(false)} />
                From the iris <span className="soft small">(about 4 % uncertain)</span>
              </label>
              <label className="tick">
                <input type="radio" name={`${id}scale`} checked={byMarker} onChange={() => setByMarker(true)} />
                From a printed marker on the skin
              </label>
              {byMarker && (
                <div>
                  <label htmlFor={`${id}marker`} className="small">
                    Side of its black square, mm
                  </label>
                  <input
                    id={`${id}marker`}
                    inputMode="decimal"
                    required
                    value={marker}
                    onChange={(event) => setMarker(event.target.value)}
                  />
                </div>
              )}
            </fieldset>
          </>
        )}
        {sent && busy && (
          <div>
            <progress max={sent.all} value={sent.done} aria-label="Photographs brought in" />
            <p className="small" role="status">
              Bringing in photograph {sent.done + 1} of {sent.all}.
            </p>
          </div>
        )}
        {problem && (
          <p className="note stop small" role="alert">
            {problem.split('\n').map((line, k) => (
              // biome-ignore lint/suspicious/noArrayIndexKey: lines of one sentence list never change places
              <span key={k}>
                {k > 0 && <br />}
                {line}
              </span>
            ))}
          </p>
        )}
        {(look || from === 'folder') && (
          <div>
            <button type="submit" className={look ? 'main' : undefined} disabled={busy}>
              {look ? 'Begin the series' : 'Look through the manifest'}
            </button>
          </div>
        )}
      </form>
    </details>
  );
}

function LookWords({ look }: { look: Look }) {
  const faults = look.faults.length + look.moreFaults;
  return (
    <div className={faults > 0 ? 'note warn' : 'note'} role="status">
      <p>It asks for {look.words}.</p>
      {faults > 0 && (
        <>
          <p className="small">
            {faults === 1 ? 'One thing is wrong with it' : `${faults} things are wrong with it`}; those rows are left out, and the others
            can be measured.
          </p>
          <ul className={`small ${css.faults}`}>
            {look.faults.map(({ line, message }) => (
              <li key={`${line} ${message}`}>
                Row {line}: {message}
              </li>
            ))}
            {look.moreFaults > 0 && <li>and {look.moreFaults} more</li>}
          </ul>
        </>
      )}
    </div>
  );
}
