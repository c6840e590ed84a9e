/** What was placed or taken away, as far as the purpose has a product: its class, how much of it, and which pass it was. */
import { PRODUCT_CLASSES } from '#shared/case.ts';
import { FormField } from './form-field.tsx';
import { NumberField } from './number-field.tsx';
import css from './treatment.module.css';
import type { TreatmentFields } from './treatment-fields.ts';
import { PRODUCT_WORDS } from './treatment-words.ts';

type Props = {
  fields: TreatmentFields;
  change: (part: Partial<TreatmentFields>) => void;
  faultOf: (field: keyof TreatmentFields) => string | undefined;
};

export function ProductFields({ fields, change, faultOf }: Props) {
  const { purpose } = fields;
  if (purpose === 'energy-device') return null;
  return (
    <div className={css.grid}>
      <FormField label="Product class" help="No brand names.">
        {(wear) => (
          <select
            {...wear}
            value={fields.productClass}
            onChange={(event) => change({ productClass: event.target.value as TreatmentFields['productClass'] })}
          >
            <option value="">Not recorded</option>
            {PRODUCT_CLASSES.map((product) => (
              <option key={product} value={product}>
                {PRODUCT_WORDS[product]}
              </option>
            ))}
          </select>
        )}
      </FormField>
      {purpose === 'gel-dissolved' ? (
        <NumberField
          label="Pass"
          help="How many times here, this one included; empty to count those recorded."
          value={fields.pass}
          onChange={(pass) => change({ pass })}
          fault={faultOf('pass')}
        />
      ) : (
        <NumberField
          label={purpose === 'gel-placed' ? 'Volume placed' : 'Volume pressed out'}
          unit="mL"
          help="Empty when not known."
          value={fields.volumeMl}
          onChange={(volumeMl) => change({ volumeMl })}
          fault={faultOf('volumeMl')}
        />
      )}
    </div>
  );
}
