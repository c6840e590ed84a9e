'use client';
/** The enzyme of a dissolving treatment: vial, diluent, amount and mix, and the units they come to, worked out while one types. */
import { enzymeSums } from '#shared/dilution.ts';
import { amountWords, enzymeDoubts, MARK_IS_NO_UNIT, mixWords, sumWords, unitsText } from '#shared/dilution-words.ts';
import { factSourceWords } from '#shared/fact-source.ts';
import type { TradeFacts } from '#shared/practice.ts';
import { FormField } from './form-field.tsx';
import { NumberField } from './number-field.tsx';
import css from './treatment.module.css';
import { enzymeSoFar, type TreatmentFields } from './treatment-fields.ts';
import { DILUENT_WORDS } from './treatment-words.ts';

type Props = {
  fields: TreatmentFields;
  change: (part: Partial<TreatmentFields>) => void;
  faultOf: (field: keyof TreatmentFields) => string | undefined;
  facts: TradeFacts;
};

export function EnzymeFields({ fields, change, faultOf, facts }: Props) {
  const number = (
    field: 'vialUnits' | 'dissolvedInMl' | 'ml' | 'marks' | 'marksPerMl' | 'mixedWithMl',
    label: string,
    unit: string,
    help?: string,
  ) => (
    <NumberField
      label={label}
      unit={unit}
      help={help}
      value={fields[field]}
      onChange={(value) => change({ [field]: value })}
      fault={faultOf(field)}
    />
  );
  const [solution, lidocaine] = facts.upperLipMixMl;
  return (
    <fieldset className={css.enzyme}>
      <legend>Enzyme</legend>
      <label className="tick">
        <input type="checkbox" checked={fields.enzymeKnown} onChange={(event) => change({ enzymeKnown: event.target.checked })} />
        The amounts are known
      </label>
      {fields.enzymeKnown && (
        <>
          <div className={css.grid}>
            {number('vialUnits', 'USP units in the vial', '')}
            {number('dissolvedInMl', 'Dissolved in', 'mL')}
            <FormField label="Diluent">
              {(wear) => (
                <select
                  {...wear}
                  value={fields.diluent}
                  onChange={(event) => change({ diluent: event.target.value as TreatmentFields['diluent'] })}
                >
                  {Object.entries(DILUENT_WORDS).map(([diluent, words]) => (
                    <option key={diluent} value={diluent}>
                      {words}
                    </option>
                  ))}
                </select>
              )}
            </FormField>
          </div>
          <fieldset className={css.amount}>
            <legend className="small">Solution injected, read as</legend>
            <div className="row">
              {(['ml', 'marks'] as const).map((kind) => (
                <label key={kind} className="tick">
                  <input
                    type="radio"
                    name="amountKind"
                    checked={fields.amountKind === kind}
                    onChange={() => change({ amountKind: kind })}
                  />
                  {kind === 'ml' ? 'mL' : 'marks of a syringe'}
                </label>
              ))}
            </div>
            <div className={css.grid}>
              {fields.amountKind === 'ml' ? (
                number('ml', 'Amount', 'mL')
              ) : (
                <>
                  {number('marks', 'Marks', 'marks')}
                  {number('marksPerMl', 'Of a syringe with', 'per mL', 'A U-100 syringe has 100 marks per mL.')}
                </>
              )}
              {number('mixedWithMl', 'Mixed with', 'mL', 'Of something else, such as lidocaine; 0 when not mixed.')}
            </div>
          </fieldset>
          <p className="row small">
            <button type="button" onClick={() => change({ amountKind: 'ml', ml: String(solution), mixedWithMl: String(lidocaine) })}>
              Mix for one half of the upper lip
            </button>
            <span>
              {solution.toFixed(2)} + {lidocaine.toFixed(2)} mL lidocaine 1 % = {(solution + lidocaine).toFixed(2)} mL{' '}
              <span className={css.source}>{factSourceWords(facts, 'upperLipMixMl')}</span>
            </span>
          </p>
          <EnzymeAnswer fields={fields} />
          <p className="small soft">
            It works for about {facts.enzymeWorksMin} minutes, then stops.{' '}
            <span className={css.source}>{factSourceWords(facts, 'enzymeWorksMin')}</span>
          </p>
        </>
      )}
    </fieldset>
  );
}

function EnzymeAnswer({ fields }: { fields: TreatmentFields }) {
  const enzyme = enzymeSoFar(fields);
  const sums = enzyme && enzymeSums(enzyme);
  return (
    <div className={css.sums} role="status" aria-label="Units delivered">
      {enzyme && sums ? (
        <>
          <p>
            <strong className="number">{unitsText(sums.units)}</strong> delivered in {amountWords(enzyme)}
          </p>
          <p className="small">{sumWords(sums)}</p>
          {enzyme.mixedWithMl > 0 && <p className="small">{mixWords(enzyme, sums)}</p>}
          {enzymeDoubts(enzyme).map((doubt) => (
            <p key={doubt} className="note warn small">
              {doubt}
            </p>
          ))}
        </>
      ) : (
        <p className="soft">The units delivered appear here once vial, volume and amount are filled in.</p>
      )}
      <p className="small">{MARK_IS_NO_UNIT}</p>
    </div>
  );
}
