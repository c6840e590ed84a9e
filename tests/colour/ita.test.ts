import { describe, expect, it } from 'vitest';
import { itaFromLabD65, skinClassOfIta } from '#lib/colour/ita.ts';
import { labD65OfLinearSrgb } from '#lib/colour/lab-d65.ts';
import { srgbToLinear } from '#lib/colour/srgb.ts';
import { deg } from '#shared/units.ts';

describe('oracle: the formula of Chardon et al. 1991, worked by hand', () => {
  it('gives 33.690 degrees for L* 60, b* 15', () => {
    expect(itaFromLabD65(60, 15)).toMatchObject({ ok: true, value: expect.closeTo(33.690068, 6) });
  });

  it.each([
    [[198, 134, 66], 13.777, 'tan'],
    [[141, 85, 36], -12.607, 'brown'],
    [[224, 172, 105], 29.803, 'intermediate'],
  ] as const)('sRGB %j is %f degrees, %s', ([r, g, b], angle, name) => {
    const [lightness, , yellow] = labD65OfLinearSrgb(srgbToLinear(r / 255), srgbToLinear(g / 255), srgbToLinear(b / 255));
    const ita = itaFromLabD65(lightness, yellow);
    if (!ita.ok) throw new Error(ita.detail);
    expect(Math.abs(ita.value - angle)).toBeLessThan(0.005); // the published angle used the ASTM white
    expect(skinClassOfIta(ita.value)).toBe(name);
  });
});

describe('law', () => {
  it('puts each limit in the darker class', () => {
    expect([90, 55, 41, 28, 10, -30, -90].map((angle) => skinClassOfIta(deg(angle)))).toEqual([
      'very-light',
      'light',
      'intermediate',
      'tan',
      'brown',
      'dark',
      'dark',
    ]);
  });
});

describe('refusal', () => {
  it.each([0, -3, NaN])('not-skin: b* %f', (b) => expect(itaFromLabD65(60, b)).toMatchObject({ ok: false, why: 'not-skin' }));
});
