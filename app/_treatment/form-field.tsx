'use client';
/** One labelled field of a form, with its unit, its help and what is wrong with it, tied together for assistive technology. */
import { type ReactNode, useId } from 'react';
import css from './treatment.module.css';

type Props = {
  label: ReactNode;
  unit?: string;
  help?: ReactNode;
  fault?: string | undefined;
  /** Gets the ids to wear. */
  children: (wear: { id: string; 'aria-describedby'?: string; 'aria-invalid'?: true }) => ReactNode;
};

export function FormField({ label, unit, help, fault, children }: Props) {
  const id = useId();
  const described = [help ? `${id}help` : '', fault ? `${id}fault` : ''].filter(Boolean).join(' ');
  return (
    <div className={css.field}>
      <label htmlFor={id}>{label}</label>
      <span className={css.input}>
        {children({ id, ...(described ? { 'aria-describedby': described } : {}), ...(fault ? { 'aria-invalid': true as const } : {}) })}
        {unit && <span className="small soft">{unit}</span>}
      </span>
      {help && (
        <p id={`${id}help`} className="small soft">
          {help}
        </p>
      )}
      {fault && (
        <p id={`${id}fault`} className={css.fault}>
          {fault}
        </p>
      )}
    </div>
  );
}
