/** The gate's last word: did the alignment succeed? */
import type { AlignedPair } from '#lib/align/align-pair.ts';
import type { Check } from '#shared/comparison.ts';

/** Registered skin of one resting face leaves less than 0.3 mm; beyond a millimetre zones no longer lie on each other. */
const LIMIT_MM = { caution: 0.45, refuse: 1.2 } as const;

export function registrationCheck({ view, registration }: AlignedPair): Check {
  const value = registration.residualMm;
  // No patch had texture enough to measure: smooth, noisy or blurred skin. The landmarks still hold, so it is a note.
  const unknown = !Number.isFinite(value);
  const verdict = unknown ? 'caution' : value > LIMIT_MM.refuse ? 'refuse' : value > LIMIT_MM.caution ? 'caution' : 'pass';
  return {
    id: 'registration',
    of: 'pair',
    view,
    verdict,
    value: unknown ? null : Math.round(value * 1000) / 1000,
    unit: 'mm',
    limit: { ...LIMIT_MM, sense: 'at-most' },
    message: unknown
      ? `The skin of the ${view} view shows too little texture to check the alignment.`
      : `After alignment the skin of the ${view} view still differs in place by ${value.toFixed(2)} mm (root mean square).`,
    advice:
      verdict === 'pass' ? '' : 'Retake with the same pose and a resting face, in focus; check that both photographs show the same person.',
  };
}
