import { describe, expect, it } from 'vitest';
import { DIFFUSE_ZONES, photographsOf, validationCases } from '#lib/phantom/cases.ts';
import { ebbline } from '#workers/cli.ts';
import { loadMeasuring } from '#workers/measuring.ts';

async function run(...args: string[]) {
  let [out, err] = ['', ''];
  const exit = await ebbline(args, {
    out: (text) => {
      out += text;
    },
    err: (text) => {
      err += text;
    },
    terminal: false,
    columns: 80,
    env: {},
    measuring: loadMeasuring,
  });
  return { exit, out, err };
}

describe('law: the cases', () => {
  const [tuning, judging] = [validationCases('tuning'), validationCases('judging')];

  it('are the same list every time, each under its own name', () => {
    expect(validationCases('judging')).toEqual(judging);
    expect(new Set(judging.map(({ id }) => id)).size).toBe(judging.length);
  });

  it('share no face, and no draw of nuisance, between tuning and judging', () => {
    const faces = new Set(tuning.map(({ face }) => face));
    const seeds = new Set(tuning.map(({ nuisanceSeed }) => nuisanceSeed));
    expect(judging.filter(({ face, nuisanceSeed }) => faces.has(face) || seeds.has(nuisanceSeed))).toEqual([]);
  });

  it('hold the volumes, views, skins, qualities and sizes that were promised', () => {
    const of = <T>(pick: (one: (typeof judging)[number]) => T) => [...new Set(judging.map(pick))].sort();
    expect([0, -0.3, -0.6, -1, -2, 0.5].filter((ml) => !of(({ nominalMl }) => nominalMl).includes(ml))).toEqual([]);
    expect(of(({ views }) => views)).toEqual([1, 3]);
    expect(of(({ jpegQuality }) => jpegQuality).length).toBeGreaterThan(2);
    expect(of(({ interpupillaryPx }) => interpupillaryPx).length).toBeGreaterThan(1);
    expect(Math.min(...of(({ tone }) => tone))).toBeLessThan(0.1);
    expect(Math.max(...of(({ tone }) => tone))).toBeGreaterThan(0.9);
  });

  it('keep nuisance within its limits, and draw a part alone as it is among all', () => {
    const all = judging.filter(({ nuisance }) => nuisance === 'all');
    const wrong = all.filter((one) =>
      photographsOf(one).some(({ before, after }) => {
        const turn = Math.hypot(after.pose.yawDeg - before.pose.yawDeg, after.pose.pitchDeg - before.pose.pitchDeg);
        const light = Math.hypot(
          after.light.lamps[0].azimuthDeg - before.light.lamps[0].azimuthDeg,
          after.light.lamps[0].elevationDeg - before.light.lamps[0].elevationDeg,
        );
        return turn > 4 || light > 8 || Math.abs(Math.log(after.camera.distanceMm / before.camera.distanceMm)) > Math.log(1.04) + 1e-12;
      }),
    );
    expect(wrong).toEqual([]);
    const [whole, alone] = (['all', 'pose'] as const).map((nuisance) => photographsOf({ ...all[0], nuisance })[0].after);
    expect(alone.pose).toEqual(whole.pose);
    expect(alone.light).not.toEqual(whole.light);
  });

  it('name the zones of a diffuse loss beforehand, and of as many pairs without change', () => {
    expect(judging.filter(({ group, concern }) => group === 'diffuse' && concern !== DIFFUSE_ZONES)).toEqual([]);
    const still = judging.filter(({ group, nuisance, views }) => group === 'no-change' && nuisance === 'all' && views === 1);
    expect(still.filter(({ concern }) => concern.length > 0).length).toBe(still.length / 2);
  });
});

describe('law: the measurement', () => {
  it('has not lost what it had: every figure of the short validation is within its bound', { timeout: 600_000 }, async () => {
    const { exit, out } = await run('validate', '--quick');
    expect(out).not.toContain('BEYOND');
    expect(exit).toBe(0);
  });
});

describe('refusal', () => {
  it('says what does not fit, and measures nothing', async () => {
    expect(await run('validate', '--threads', 'many')).toMatchObject({
      exit: 2,
      err: expect.stringContaining('whole number from 1 to 64'),
    });
    expect(await run('validate', '--quick', '--out', 'x')).toMatchObject({ exit: 2, err: expect.stringContaining('takes no --out') });
    expect(await run('validate', 'now')).toMatchObject({ exit: 2 });
  });
});
