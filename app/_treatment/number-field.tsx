'use client';
/** A number typed as text, so that a comma is read too and nothing is lost while typing. */
import type { ReactNode } from 'react';
import { FormField } from './form-field.tsx';

type Props = {
  label: ReactNode;
  unit?: string;
  help?: ReactNode;
  value: string;
  onChange: (value: string) => void;
  fault?: string | undefined;
};

export function NumberField({ value, onChange, ...field }: Props) {
  return (
    <FormField {...field}>
      {(wear) => (
        <input
          {...wear}
          type="text"
          inputMode="decimal"
          autoComplete="off"
          size={8}
          value={value}
          onChange={(event) => onChange(event.target.value)}
        />
      )}
    </FormField>
  );
}
