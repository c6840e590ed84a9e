/** What spectacles in one photograph of a pair do to the comparison. */
import { describe, expect, it } from 'vitest';
import { comparePair } from '#lib/compare/compare-pair.ts';
import { controlOf } from '#lib/compare/control.ts';
import { identityFrom } from '#lib/phantom/identity.ts';
import { pairSpecs } from '#lib/phantom/pair.ts';
import type { PhantomSpec, SpectaclesSpec } from '#lib/phantom/types.ts';
import type { Comparison } from '#shared/comparison.ts';
import { REFERENCE_ZONES } from '#shared/zones.ts';
import { photoOf } from './phantom-photos.ts';

const FRAME: SpectaclesSpec = {
  rim: 'full',
  lensWidthMm: 52,
  lensHeightMm: 44,
  squareness: 3,
  thicknessMm: 3,
  rgb: [0.02, 0.016, 0.013],
  shine: 0.15,
  clear: 0.93,
  glare: 0.3,
  slideMm: 2,
};
const { before, after } = pairSpecs({
  identity: identityFrom(1045),
  quality: 'draft',
  camera: { widthPx: 520, heightPx: 650, interpupillaryPx: 150 },
  nuisance: { yawDeg: 1, lightAzimuthDeg: 3 },
});

async function compared(b: PhantomSpec, a: PhantomSpec): Promise<Comparison> {
  const outcome = await comparePair([await photoOf(b, 'before.jpg')], [await photoOf(a, 'after.jpg')], { pictures: false });
  if (!outcome.ok) throw new Error(outcome.detail);
  return outcome.value.comparison;
}
const refusedFor = (comparison: Comparison): string[] =>
  comparison.zones.filter(({ whyNot }) => whyNot?.includes('Spectacles')).map(({ zone }) => zone);

describe('law', () => {
  it('spectacles in one photograph: the gate notes it, the zones behind are not judged and say why, the rest is as it was', async () => {
    const comparison = await compared(before, { ...after, spectacles: FRAME });
    expect(comparison.gate.comparable).toBe(true);
    expect(comparison.gate.checks.filter(({ id, verdict }) => id === 'spectacles' && verdict === 'caution').map(({ of }) => of)).toEqual([
      'after',
    ]);
    const behind = refusedFor(comparison);
    for (const zone of ['infraorbital-left', 'infraorbital-right', 'nasal-dorsum', 'temple-left', 'temple-right'])
      expect(behind).toContain(zone);
    // these lenses reach down over the cheeks
    expect(behind).toEqual(expect.arrayContaining(['midface-left', 'midface-right']));
    for (const { zone, assessable, finding, metrics, whyNot, reference } of comparison.zones) {
      if (behind.includes(zone)) {
        expect({ zone, assessable, finding, metrics, reference }).toEqual({
          zone,
          assessable: false,
          finding: 'not-assessable',
          metrics: {},
          reference: false,
        });
        expect(whyNot).toContain('in the photograph after');
      } else expect(`${zone} ${finding}`).not.toContain('beyond-error');
    }
    for (const zone of ['forehead', 'chin', 'marionette-left', 'submalar-left', 'upper-lip-right'])
      expect(comparison.zones.find((z) => z.zone === zone)?.assessable, zone).toBe(true);
    expect(comparison.control.trusted).toBe(true);
    expect(comparison.control.statement).toContain('nasal dorsum could not bear witness, because spectacles lie there.');
  });

  it('bare faces lose no zone to spectacles, and all references bear witness', async () => {
    const comparison = await compared(before, after);
    expect(refusedFor(comparison)).toEqual([]);
    expect(comparison.control.statement).not.toContain('spectacles');
    expect(comparison.zones.filter(({ reference }) => reference).map(({ zone }) => zone)).toEqual(
      expect.arrayContaining([...REFERENCE_ZONES]),
    );
  });
});

describe('refusal', () => {
  it('where every reference is lost there is no control, and it is said why', () => {
    const control = controlOf(new Map(), [], ['glabella', 'nasal-dorsum']);
    expect(control.trusted).toBe(false);
    expect(control.statement).toMatch(/no negative control\. The glabella and the nasal dorsum could not bear witness/);
  });
});
