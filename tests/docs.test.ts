/** What the documents promise of the repository itself: every licence is listed, every check has the test it names. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT, textOf } from '#tests/sources.ts';
import packageJson from '../package.json' with { type: 'json' };
import lock from '../package-lock.json' with { type: 'json' };

type Locked = { version?: string; license?: string };
const locked = lock.packages as Record<string, Locked>;

describe('law: docs/licences.md', () => {
  const text = textOf('docs/licences.md');
  const direct = Object.keys({ ...packageJson.dependencies, ...packageJson.devDependencies });
  const rows = new Map([...text.matchAll(/^\| `([^`]+)` +\| ([^|]+?) +\|/gm)].map(([, name, licence]) => [name, licence]));

  it('lists every package that is asked for, and no other, with the licence that the lock file has', () => {
    expect([...rows.keys()].sort()).toEqual([...direct].sort());
    expect(direct.filter((name) => rows.get(name) !== locked[`node_modules/${name}`].license)).toEqual([]);
  });

  it('allows the licence of every package that those need in turn', () => {
    const others = text.slice(text.indexOf('## What those need in turn'));
    const allowed = (licence: string): boolean =>
      licence
        .replace(/[()]/g, '')
        .split(/ AND | OR /)
        .every((one) => others.includes(one));
    const wrong = Object.entries(locked)
      .filter(([path]) => path !== '' && !direct.includes(path.replace('node_modules/', '')))
      .filter(([path, { license }]) =>
        license === undefined ? !others.includes(`\`${path.replace('node_modules/', '')}\``) : !allowed(license),
      )
      .map(([path, { license }]) => `${path} ${license}`);
    expect(wrong).toEqual([]);
  });
});

describe('law: docs/checks.md', () => {
  it('names tests and documents that are there, one at least for every line', () => {
    const lines = textOf('docs/checks.md')
      .split('\n')
      .filter((line) => line.startsWith('| ') && !/^\| (?:check|-+) /.test(line));
    expect(lines.length).toBeGreaterThan(12);
    const wrong = lines.filter((line) => {
      const files = [...line.matchAll(/`((?:tests|docs|workers)\/[^`]+)`/g)].map((match) => match[1]);
      return files.length === 0 || files.some((file) => !existsSync(join(ROOT, file)));
    });
    expect(wrong).toEqual([]);
  });
});

describe('law: README.md', () => {
  it('has links and pictures that lead to files of this repository', () => {
    const links = [...textOf('README.md').matchAll(/\]\(([^)#]+)/g)].map((match) => match[1]);
    expect(links.length).toBeGreaterThan(5);
    expect(links.filter((link) => !existsSync(join(ROOT, link)))).toEqual([]);
  });
});
