'use client';
/** Fields beside the photographs: name, days, scale. */
import { type ReactNode, useId } from 'react';
import css from './bench.module.css';
import { datesFault, type Options, scaleOf } from './options.ts';

type Props = { options: Options; onChange: (part: Partial<Options>) => void; afterDayKnown: string | null; children?: ReactNode };

export function OptionFields({ options, onChange, afterDayKnown, children }: Props) {
  const id = useId();
  const scaleFault = scaleOf(options) === null && (options.scaleKind === 'interpupillary' ? options.pupilsMm : options.markerMm) !== '';
  const dates = datesFault({ ...options, afterOn: options.afterOn || afterDayKnown || '' });
  return (
    <div className={css.fields}>
      <div>
        <label htmlFor={`${id}title`}>Name in the list</label>
        <input
          id={`${id}title`}
          type="text"
          maxLength={120}
          autoComplete="off"
          value={options.title}
          onChange={(event) => onChange({ title: event.target.value })}
          aria-describedby={`${id}titleHelp`}
        />
        <p id={`${id}titleHelp`} className="small soft">
          A case code; no patient&rsquo;s name. Optional.
        </p>
      </div>
      <fieldset aria-describedby={dates ? `${id}dates` : undefined}>
        <legend>Days</legend>
        <div className={css.days}>
          <div>
            <label htmlFor={`${id}treated`} className="small">
              Treatment
            </label>
            <input
              id={`${id}treated`}
              type="date"
              value={options.treatedOn}
              onChange={(event) => onChange({ treatedOn: event.target.value })}
            />
          </div>
          <div>
            <label htmlFor={`${id}after`} className="small">
              After photographs
            </label>
            {afterDayKnown ? (
              <p className={`${css.known} number`} id={`${id}after`}>
                {afterDayKnown} <span className="soft small">from the file</span>
              </p>
            ) : (
              <input
                id={`${id}after`}
                type="date"
                value={options.afterOn}
                onChange={(event) => onChange({ afterOn: event.target.value })}
              />
            )}
          </div>
        </div>
        {dates && (
          <p id={`${id}dates`} className="note stop small" role="alert">
            {dates}
          </p>
        )}
        <p className="small soft">With both, a comparison made too soon after a treatment says so.</p>
      </fieldset>
      <fieldset>
        <legend>Scale</legend>
        <label className="tick">
          <input type="radio" name={`${id}scale`} checked={options.scaleKind === 'iris'} onChange={() => onChange({ scaleKind: 'iris' })} />
          From the iris <span className="soft small">(about 4 % uncertain)</span>
        </label>
        <label className="tick">
          <input
            type="radio"
            name={`${id}scale`}
            checked={options.scaleKind === 'interpupillary'}
            onChange={() => onChange({ scaleKind: 'interpupillary' })}
          />
          From the measured distance of the pupils
        </label>
        {options.scaleKind === 'interpupillary' && (
          <Length
            id={`${id}pupils`}
            label="Pupil distance"
            value={options.pupilsMm}
            wrong={scaleFault}
            help="40 to 85 mm."
            onChange={(pupilsMm) => onChange({ pupilsMm })}
          />
        )}
        <label className="tick">
          <input
            type="radio"
            name={`${id}scale`}
            checked={options.scaleKind === 'marker'}
            onChange={() => onChange({ scaleKind: 'marker' })}
          />
          From a printed marker on the skin
        </label>
        {options.scaleKind === 'marker' && (
          <Length
            id={`${id}marker`}
            label="Side of its black square"
            value={options.markerMm}
            wrong={scaleFault}
            help="2 to 200 mm."
            onChange={(markerMm) => onChange({ markerMm })}
          />
        )}
      </fieldset>
      {children}
    </div>
  );
}

function Length({
  id,
  label,
  value,
  wrong,
  help,
  onChange,
}: {
  id: string;
  label: string;
  value: string;
  wrong: boolean;
  help: string;
  onChange: (value: string) => void;
}) {
  return (
    <div className={css.length}>
      <label htmlFor={id} className="small">
        {label}
      </label>
      <input
        id={id}
        type="text"
        inputMode="decimal"
        size={6}
        value={value}
        aria-invalid={wrong}
        aria-describedby={`${id}Help`}
        onChange={(event) => onChange(event.target.value)}
      />{' '}
      mm
      <span id={`${id}Help`} className="small soft">
        {help}
      </span>
    </div>
  );
}
