/** The version that code knows is package.json's. */
import { readFile } from 'node:fs/promises';
import { expect, it } from 'vitest';
import { EBBLINE_VERSION } from '#shared/version.ts';

it('the version in the code is the version of the package', async () => {
  expect(EBBLINE_VERSION).toBe(JSON.parse(await readFile(new URL('../../package.json', import.meta.url), 'utf8')).version);
});
