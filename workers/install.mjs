/**
 * Brings `node_modules` up to date and finds the Node 24 in it. Plain JavaScript for any Node from 20 up and any npm from
 * 10 up, because this runs before anything is installed.
 *
 * No package's install script is run (`.npmrc` says so): Node 24 comes as a finished binary for each platform, whose
 * hash the lock file holds, and nothing else here needs a script.
 */
import { spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, linkSync, mkdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('..', import.meta.url));
const WANTED_NODE = 24;

/** Says a plain sentence and ends: these are not the reader's bugs, so no stack is shown. */
export function giveUp(sentence) {
  console.error(`\nebbline: ${sentence}`);
  process.exit(1);
}

/** Installs what the lock file asks for, unless npm's own record says that it is all there. */
export function ensureInstalled() {
  if (!isInstalled()) {
    console.error('ebbline: installing what is missing (about a minute the first time) ...');
    const begun = Date.now();
    const { status, error } = npm([
      'ci',
      '--include=dev',
      '--include=optional',
      '--engine-strict=false',
      '--ignore-scripts',
      '--no-audit',
      '--no-fund',
      '--loglevel=error',
    ]);
    if (error || status !== 0)
      giveUp(
        'the packages could not be installed. npm says why above; most often there is no network, or no space on the disk. Run the same command again afterwards.',
      );
    console.error(`ebbline: installed in ${((Date.now() - begun) / 1000).toFixed(0)} s.`);
  }
  return nodeBinary();
}

function isInstalled() {
  const wanted = packagesOf('package-lock.json');
  const present = packagesOf(join('node_modules', '.package-lock.json'));
  return wanted !== null && present !== null && holdsAll(wanted, present, process);
}

/** npm keeps a record of what it put in place; it must name the version of every package that the lock file wants on this machine. */
export function holdsAll(wanted, present, { platform, arch }) {
  return Object.entries(wanted).every(([place, entry]) => {
    if (place === '') return true;
    if (place in present) return present[place].version === entry.version;
    return Boolean(entry.peer) || (Boolean(entry.optional) && !isFor(entry, platform, arch));
  });
}

/** An optional package that names this platform belongs here; one that names none is only a part of those of other platforms. */
function isFor({ os, cpu, libc }, platform, arch) {
  return os !== undefined && cpu !== undefined && libc === undefined && [os].flat().includes(platform) && [cpu].flat().includes(arch);
}

function packagesOf(file) {
  try {
    return JSON.parse(readFileSync(join(ROOT, file), 'utf8')).packages ?? null;
  } catch {
    return null;
  }
}

/** The path of a Node 24: the installed one, else the one that runs this if it is new enough. */
function nodeBinary() {
  const usual = join(ROOT, 'node_modules', 'node', 'bin', process.platform === 'win32' ? 'node.exe' : 'node');
  if (runs(usual)) return usual;
  const packaged = join(
    ROOT,
    'node_modules',
    `node-${process.platform === 'win32' ? 'win' : process.platform}-${process.arch}`,
    'bin',
    process.platform === 'win32' ? 'node.exe' : 'node',
  );
  if (runs(packaged)) {
    place(packaged, usual);
    return existsSync(usual) ? usual : packaged;
  }
  if (Number(process.versions.node.split('.')[0]) >= WANTED_NODE) return process.execPath;
  // No finished binary for this platform: the package `node` knows how to fetch one.
  npm(['rebuild', 'node', '--ignore-scripts=false', '--loglevel=error']);
  if (runs(usual)) return usual;
  return giveUp(
    `no Node ${WANTED_NODE} for ${process.platform} ${process.arch} came with the packages. Install Node ${WANTED_NODE} yourself and run the same command with it.`,
  );
}

/** Where the package `node` would have put it, so that every script finds it at one place. */
function place(from, to) {
  try {
    mkdirSync(dirname(to), { recursive: true });
    linkSync(from, to);
  } catch {
    try {
      copyFileSync(from, to);
    } catch {
      // Read-only, say. The packaged place serves as well.
    }
  }
}

function runs(binary) {
  if (!existsSync(binary)) return false;
  const { status, stdout } = spawnSync(binary, ['--version'], { encoding: 'utf8' });
  return status === 0 && stdout.startsWith(`v${WANTED_NODE}.`);
}

/** The npm that started this, or the one on the path. Its output goes to the error stream, so that `--json` stays clean. */
function npm(args) {
  const script = process.env.npm_execpath;
  const [command, first] = script?.endsWith('.js') || script?.endsWith('.cjs') ? [process.execPath, [script]] : ['npm', []];
  return spawnSync(command, [...first, ...args], {
    cwd: ROOT,
    stdio: ['ignore', 2, 2],
    shell: command === 'npm' && process.platform === 'win32',
    env: { ...process.env, NODE_ENV: '' },
  });
}
