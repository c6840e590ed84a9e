/**
 * Enzyme solution: how strong it is, how much of it was injected, and how many units that is. Plain arithmetic:
 *
 *   strength (USP units per mL) = units in the vial / mL they were dissolved in
 *   volume (mL)                 = syringe marks / marks per mL, where it was read as marks
 *   units                       = strength * volume
 *
 * A syringe mark is a volume, never a number of enzyme units: a U-100 syringe has 100 marks per mL, whatever is in it.
 */
import type { Enzyme, SolutionAmount } from './case.ts';

export const U100_MARKS_PER_ML = 100;

/** USP units per mL of the solution as it was made. */
export const strengthUnitsPerMl = ({ vialUnits, dissolvedInMl }: Pick<Enzyme, 'vialUnits' | 'dissolvedInMl'>): number =>
  tidy(vialUnits / dissolvedInMl);

/** mL of the amount, however it was read. */
export const amountMl = (amount: SolutionAmount): number => tidy(amount.kind === 'ml' ? amount.ml : amount.marks / amount.marksPerMl);

/** The same volume as marks of a syringe. */
export const marksOf = (ml: number, marksPerMl: number): number => tidy(ml * marksPerMl);

export type EnzymeSums = Readonly<{
  strengthUnitsPerMl: number;
  /** Of enzyme solution, before mixing. */
  solutionMl: number;
  /** USP units delivered; mixing dilutes them and takes none away. */
  units: number;
  /** Injected altogether: solution and what it was mixed with. */
  totalMl: number;
  /** Units per mL as injected. */
  injectedUnitsPerMl: number;
  /** Share of the vial, 0..1 and above when more than one was needed. */
  vials: number;
}>;

export function enzymeSums(enzyme: Enzyme): EnzymeSums {
  const strength = strengthUnitsPerMl(enzyme);
  const solutionMl = amountMl(enzyme.amount);
  const units = tidy(strength * solutionMl);
  const totalMl = tidy(solutionMl + enzyme.mixedWithMl);
  return {
    strengthUnitsPerMl: strength,
    solutionMl,
    units,
    totalMl,
    injectedUnitsPerMl: tidy(units / totalMl),
    vials: tidy(units / enzyme.vialUnits),
  };
}

/** Twelve digits: enough for any syringe, and 0.1 + 0.2 is 0.3. */
const tidy = (value: number): number => Number(value.toPrecision(12));
