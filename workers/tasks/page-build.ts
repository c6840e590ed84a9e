/**
 * The built page, kept until its sources change.
 * A hash over everything the page is made of is written beside the build; another hash means another build.
 */
import { createHash } from 'node:crypto';
import { globSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT, runStep, type Step } from './step.ts';

/** Streets the page may import from, as `tests/house.test.ts` holds them. */
const SOURCES = [
  'app/**/*',
  'shared/**/*',
  'lib/record/**/*',
  'lib/report/**/*',
  'lib/series/**/*',
  'lib/stats/**/*',
  '*.json',
  'next.config.js',
];
const STAMP = join(ROOT, '.next', 'ebbline-sources');

export function sourcesHash(): string {
  const hash = createHash('sha256');
  const files = globSync(SOURCES, { cwd: ROOT, withFileTypes: true }).filter((entry) => entry.isFile());
  for (const path of files.map((entry) => join(entry.parentPath, entry.name)).sort())
    hash.update(path.slice(ROOT.length)).update('\0').update(readFileSync(path)).update('\0');
  return hash.digest('hex');
}

export function isBuilt(): boolean {
  try {
    return readFileSync(STAMP, 'utf8') === sourcesHash();
  } catch {
    return false;
  }
}

/** Builds when the sources changed since the last build; always with `force`. */
export async function buildPage(force = false): Promise<Step> {
  if (!force && isBuilt()) return { name: 'page (already built)', ok: true, seconds: 0 };
  const hash = sourcesHash();
  const step = await runStep('build the page', [join(ROOT, 'node_modules/next/dist/bin/next'), 'build'], {
    NODE_ENV: 'production',
    NEXT_TELEMETRY_DISABLED: '1',
  });
  if (step.ok) writeFileSync(STAMP, hash);
  return step;
}
