/** One treatment in a few lines: what, where, how much, and what is expected to be left of the gel. */
import type { Treatment } from '#shared/case.ts';
import { enzymeSums } from '#shared/dilution.ts';
import { amountWords, mixWords, unitsText } from '#shared/dilution-words.ts';
import { zoneLabel } from '#shared/zones.ts';
import { DILUENT_WORDS, PRODUCT_WORDS, PURPOSE_WORDS } from './treatment-words.ts';

export function TreatmentLine({ treatment }: { treatment: Treatment }) {
  const { zones, purpose, productClass, volumeMl, enzyme, pass, note } = treatment;
  const sums = enzyme && enzymeSums(enzyme);
  return (
    <>
      <p>
        <strong>{PURPOSE_WORDS[purpose]}</strong>
        {productClass && <> ({PRODUCT_WORDS[productClass].toLowerCase()})</>}:{' '}
        {zones.map((zone) => zoneLabel(zone).replace(',', '')).join(', ')}
        {volumeMl !== null && <span className="number">, {volumeMl} mL</span>}
        {pass !== null && <>, pass {pass}</>}
      </p>
      {enzyme && sums && (
        <p className="small">
          <span className="number">{unitsText(sums.units)}</span> in {amountWords(enzyme)}, of {unitsText(sums.strengthUnitsPerMl)} per mL
          in {DILUENT_WORDS[enzyme.diluent].toLowerCase()}
          {enzyme.mixedWithMl > 0 && <>; mixed, {mixWords(enzyme, sums)}</>}
        </p>
      )}
      {note && <p className="small soft">{note}</p>}
    </>
  );
}
