import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT } from '#tests/sources.ts';
import { holdsAll } from '#workers/install.mjs';
import { readTestSummary, summaryLines, summaryOf } from '#workers/tasks/test-summary.ts';

const LINUX = { platform: 'linux', arch: 'x64' };
const lock = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8')).packages;

describe('law: what counts as installed', () => {
  const wanted = {
    '': { version: '1.0.0' },
    'node_modules/a': { version: '1.2.3' },
    'node_modules/bin-here': { version: '2.0.0', optional: true, os: ['linux'], cpu: ['x64'] },
    'node_modules/bin-there': { version: '2.0.0', optional: true, os: ['darwin'], cpu: ['arm64'] },
  };
  const present = { 'node_modules/a': { version: '1.2.3' }, 'node_modules/bin-here': { version: '2.0.0' } };

  it('is enough to have what this machine needs', () => expect(holdsAll(wanted, present, LINUX)).toBe(true));
  it('is not enough with an older version', () =>
    expect(holdsAll(wanted, { ...present, 'node_modules/a': { version: '1.2.2' } }, LINUX)).toBe(false));
  it('is not enough with a package missing', () =>
    expect(holdsAll(wanted, { 'node_modules/bin-here': { version: '2.0.0' } }, LINUX)).toBe(false));
  it('is not enough with the binary of another machine', () =>
    expect(holdsAll(wanted, present, { platform: 'darwin', arch: 'arm64' })).toBe(false));

  it('holds for the packages that run this very test', () => {
    const here = JSON.parse(readFileSync(join(ROOT, 'node_modules', '.package-lock.json'), 'utf8')).packages;
    expect(holdsAll(lock, here, process)).toBe(true);
  });
});

describe('law: Node 24 comes with the packages', () => {
  it('runs this test', () => expect(process.versions.node.split('.')[0]).toBe('24'));

  it('is locked, with its hash, at one version for every platform named', () => {
    const versions = Object.entries<{ version: string; integrity?: string }>(lock)
      .filter(([place]) => /^node_modules\/node(-(linux|win)-\w+)?$/.test(place))
      .map(([, { version, integrity }]) => (integrity ? version : 'without a hash'));
    expect(versions.length).toBeGreaterThanOrEqual(4);
    expect(new Set(versions).size).toBe(1);
  });

  it('runs no install script: not that of `node`, whose work is done here, nor that of `core-js-pure`, which prints a line', () => {
    const scripted = Object.entries<{ hasInstallScript?: boolean }>(lock).filter(([, entry]) => entry.hasInstallScript);
    expect(scripted.map(([place]) => place)).toEqual(['node_modules/core-js-pure', 'node_modules/node']);
    expect(readFileSync(join(ROOT, '.npmrc'), 'utf8')).toContain('ignore-scripts=true');
  });
});

describe('law: the last line of npm test', () => {
  const step = (name: string, ok: boolean) => ({ name, ok, seconds: 1 });
  const file = (status: string, ...statuses: string[]) => ({ status, assertionResults: statuses.map((each) => ({ status: each })) });

  it('counts tests, steps, and files that could not run', () => {
    const summary = summaryOf([file('passed', 'passed', 'passed', 'pending'), file('failed', 'passed', 'failed'), file('failed')]);
    expect(summary).toEqual({ passed: 3, failed: 1, skipped: 1, files: 3, brokenFiles: 1 });
    const lines = summaryLines([step('lint', true), step('types', false), step('tests', false)], summary);
    expect(lines.at(-1)).toBe('4 passed, 3 failed');
  });

  it('is a failure when the tests never ran, whatever else went well', () => {
    expect(summaryLines([step('lint', true), step('tests', true)], readTestSummary('/nowhere/summary.json')).at(-1)).toBe(
      '1 passed, 1 failed',
    );
    expect(summaryLines([step('lint', true), step('tests', true)], summaryOf([])).at(-1)).toBe('1 passed, 1 failed');
  });
});

describe('law: every script of package.json leads somewhere', () => {
  const { scripts, bin } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as {
    scripts: Record<string, string>;
    bin: Record<string, string>;
  };
  const tools = ['biome', 'tsc', 'vitest', 'next'];

  it('to a file, a task, a tool or a command that is there', () => {
    const commands = readFileSync(join(ROOT, 'workers', 'cli.ts'), 'utf8');
    const lost = Object.entries(scripts).filter(([, script]) => {
      const [, file, what] = /^node workers\/(\S+) (\S+)/.exec(script) ?? [];
      if (file === 'ebbline.mjs') return !commands.includes(`${what}: async`);
      return file !== 'setup.mjs' || !(tools.includes(what) || existsSync(join(ROOT, 'workers', 'tasks', `${what}.ts`)));
    });
    expect(lost).toEqual([]);
    expect(existsSync(join(ROOT, bin.ebbline))).toBe(true);
  });
});

describe('refusal', () => {
  it('a task that is not there gets a sentence and exit code 1, not a stack', () => {
    const { status, stderr } = spawnSync(process.execPath, [join(ROOT, 'workers', 'setup.mjs'), 'no-such-task'], { encoding: 'utf8' });
    expect(status).toBe(1);
    expect(stderr).toContain('no task named "no-such-task"');
    expect(stderr).not.toContain('    at ');
  });
});
