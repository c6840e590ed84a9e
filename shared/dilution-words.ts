/** Enzyme sums in words, and doubts about what was typed. A doubt never forbids: the practice may mean it. */
import type { Enzyme } from './case.ts';
import { amountMl, type EnzymeSums, enzymeSums, marksOf, strengthUnitsPerMl, U100_MARKS_PER_ML } from './dilution.ts';

/** Always shown beside a number of marks. */
export const MARK_IS_NO_UNIT =
  'A syringe mark is not an enzyme unit. A U-100 syringe has 100 marks per mL, so ten marks are 0.10 mL; the units in them are strength times volume.';

/**
 * Strengths outside are doubted. A periocular series used 150 USP units per mL in 66 % and 75 in 31 % (Wilde et al. 2024, PMC11037726).
 * The bounds leave a factor of five and ten around those; they are our own, only there to catch slips of the keyboard.
 */
const USUAL_STRENGTH: readonly [number, number] = [15, 1500];
/** mL of enzyme solution in one treatment; ours, for the same purpose. */
const MUCH_SOLUTION_ML = 5;
/** A syringe of one mL is what marks are read from. */
const SYRINGE_ML = 1;

/** As many decimals as the number needs, three at most: "0.1", "22.5", "150". At least two for mL. */
export const mlText = (ml: number): string => `${trimmed(ml, 2)}\u00a0mL`;
export const unitsText = (units: number): string => `${trimmed(units, 0)}\u00a0USP units`;

/** "10 marks of a U-100 syringe (0.10 mL)", "0.10 mL (10 marks of a U-100 syringe)". */
export function amountWords({ amount }: Pick<Enzyme, 'amount'>): string {
  const ml = amountMl(amount);
  if (amount.kind === 'ml') return `${mlText(ml)} (${marksText(marksOf(ml, U100_MARKS_PER_ML))} of a U-100 syringe)`;
  const syringe =
    amount.marksPerMl === U100_MARKS_PER_ML ? 'a U-100 syringe' : `a syringe of ${trimmed(amount.marksPerMl, 0)} marks per mL`;
  return `${marksText(amount.marks)} of ${syringe} (${mlText(ml)})`;
}

/** "150 USP units per mL x 0.10 mL = 15 USP units". */
export const sumWords = ({ strengthUnitsPerMl: strength, solutionMl, units }: EnzymeSums): string =>
  `${unitsText(strength)} per mL \u00d7 ${mlText(solutionMl)} = ${unitsText(units)}`;

/** "0.10 mL + 0.20 mL = 0.30 mL, 50 USP units per mL". Empty when nothing was mixed in. */
export function mixWords(enzyme: Pick<Enzyme, 'mixedWithMl'>, { solutionMl, totalMl, injectedUnitsPerMl }: EnzymeSums): string {
  if (enzyme.mixedWithMl === 0) return '';
  return `${mlText(solutionMl)} + ${mlText(enzyme.mixedWithMl)} = ${mlText(totalMl)}, ${unitsText(injectedUnitsPerMl)} per mL as injected`;
}

/** What looks like a slip, each in a sentence; empty when nothing does. */
export function enzymeDoubts(enzyme: Enzyme): string[] {
  const strength = strengthUnitsPerMl(enzyme);
  const { solutionMl, vials } = enzymeSums(enzyme);
  const { amount } = enzyme;
  const [low, high] = USUAL_STRENGTH;
  return [
    strength > high
      ? `${unitsText(strength)} per mL is stronger than usual (${low} to ${high}). Were vial and diluent entered in the right places?`
      : '',
    strength < low
      ? `${unitsText(strength)} per mL is weaker than usual (${low} to ${high}). Were vial and diluent entered in the right places?`
      : '',
    vials > 1 + 1e-9 ? `That is ${trimmed(vials, 1)} times what the vial holds. Was more than one vial used?` : '',
    amount.kind === 'marks' && amount.marks / amount.marksPerMl > SYRINGE_ML
      ? `${marksText(amount.marks)} are ${mlText(solutionMl)}, more than a syringe of ${SYRINGE_ML} mL holds. Were units entered as marks?`
      : '',
    amount.kind === 'ml' && solutionMl > MUCH_SOLUTION_ML
      ? `${mlText(solutionMl)} of solution is a great deal. Were marks entered as mL?`
      : '',
  ].filter(Boolean);
}

const marksText = (marks: number): string => `${trimmed(marks, 0)} ${marks === 1 ? 'mark' : 'marks'}`;

/** At least `least` decimals, at most three more than that. */
function trimmed(value: number, least: number): string {
  const [whole, decimals = ''] = value.toFixed(least + 2).split('.');
  const kept = decimals.replace(/0+$/, '').padEnd(least, '0');
  return kept ? `${whole}.${kept}` : whole!;
}
