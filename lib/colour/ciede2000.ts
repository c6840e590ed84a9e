/**
 * The CIEDE2000 colour difference, kL = kC = kH = 1.
 *
 * Model   takes Lab of either white, as long as both colours share it; this project passes D65.
 * Source  Sharma, Wu & Dalal, Color Research and Application 30(1):21-30, 2005, doi:10.1002/col.20070, whose
 *         letters are kept below and whose 34 pairs are the test; the standard is ISO/CIE 11664-6:2014.
 */

const POW25_7 = 25 ** 7;
const RAD = Math.PI / 180;

/** Difference of two colours, 0 when equal, about 1 where a trained eye begins to see it. */
export function ciede2000(L1: number, a1: number, b1: number, L2: number, a2: number, b2: number): number {
  const meanC7 = ((Math.sqrt(a1 * a1 + b1 * b1) + Math.sqrt(a2 * a2 + b2 * b2)) / 2) ** 7;
  const stretch = 1 + 0.5 * (1 - Math.sqrt(meanC7 / (meanC7 + POW25_7)));
  const ap1 = a1 * stretch;
  const ap2 = a2 * stretch;
  const Cp1 = Math.sqrt(ap1 * ap1 + b1 * b1);
  const Cp2 = Math.sqrt(ap2 * ap2 + b2 * b2);
  const hp1 = hue(ap1, b1);
  const hp2 = hue(ap2, b2);
  const grey = Cp1 * Cp2 === 0; // a grey has no hue, so it takes the other's

  let dhp = grey ? 0 : hp2 - hp1;
  if (dhp > Math.PI) dhp -= 2 * Math.PI;
  else if (dhp < -Math.PI) dhp += 2 * Math.PI;

  const dLp = L2 - L1;
  const dCp = Cp2 - Cp1;
  const dHp = 2 * Math.sqrt(Cp1 * Cp2) * Math.sin(dhp / 2);

  const meanL = (L1 + L2) / 2 - 50;
  const meanCp = (Cp1 + Cp2) / 2;
  const sum = hp1 + hp2;
  const meanHp = grey ? sum : Math.abs(hp1 - hp2) <= Math.PI ? sum / 2 : sum < 2 * Math.PI ? sum / 2 + Math.PI : sum / 2 - Math.PI;

  const T =
    1 -
    0.17 * Math.cos(meanHp - 30 * RAD) +
    0.24 * Math.cos(2 * meanHp) +
    0.32 * Math.cos(3 * meanHp + 6 * RAD) -
    0.2 * Math.cos(4 * meanHp - 63 * RAD);
  const SL = 1 + (0.015 * meanL * meanL) / Math.sqrt(20 + meanL * meanL);
  const SC = 1 + 0.045 * meanCp;
  const SH = 1 + 0.015 * meanCp * T;
  const bend = (meanHp / RAD - 275) / 25;
  const meanCp7 = meanCp ** 7;
  const RT = -2 * Math.sqrt(meanCp7 / (meanCp7 + POW25_7)) * Math.sin(60 * RAD * Math.exp(-bend * bend));

  const l = dLp / SL;
  const c = dCp / SC;
  const h = dHp / SH;
  return Math.sqrt(Math.max(0, l * l + c * c + h * h + RT * c * h)); // rounding can dip below zero
}

/** Two rasters (n, 3) of Lab with the same white; the result is (n). */
export function ciede2000Raster(labA: Float32Array, labB: Float32Array): Float32Array {
  if (labA.length !== labB.length || labA.length % 3 !== 0)
    throw new RangeError(`two rasters of whole triples and equal length needed, got lengths ${labA.length} and ${labB.length}`);
  const difference = new Float32Array(labA.length / 3);
  for (let i = 0, p = 0; i < difference.length; i++, p += 3)
    difference[i] = ciede2000(labA[p], labA[p + 1], labA[p + 2], labB[p], labB[p + 1], labB[p + 2]);
  return difference;
}

/** Radians, 0..2 pi; grey has hue 0. */
function hue(a: number, b: number): number {
  if (a === 0 && b === 0) return 0;
  const angle = Math.atan2(b, a);
  return angle < 0 ? angle + 2 * Math.PI : angle;
}
