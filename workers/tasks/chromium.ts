/** Chromium for the browser tests, installed by Debian's package manager when it is missing. */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const CHROMIUM = '/usr/bin/chromium';
const PACKAGES = ['chromium', 'fonts-liberation'];

/** Null when Chromium is there; otherwise the sentence that says what to do. */
export function ensureChromium(): string | null {
  if (existsSync(CHROMIUM)) return null;
  const byHand = `Install it with: sudo apt-get install ${PACKAGES.join(' ')}`;
  if (!runs('apt-get', ['--version']))
    return `The browser tests need Chromium at ${CHROMIUM}, and this system has no apt-get to install it with.`;
  const asRoot = process.getuid?.() === 0 ? [] : runs('sudo', ['-n', 'true']) ? ['sudo', '-n'] : null;
  if (asRoot === null) return `The browser tests need Chromium, and installing it needs the administrator. ${byHand}`;
  console.log('[ebbline] installing Chromium by apt-get');
  const aptGet = [
    ...asRoot,
    'env',
    'DEBIAN_FRONTEND=noninteractive',
    'apt-get',
    '-qq',
    '-o',
    'Acquire::Retries=3',
    '-o',
    'Dpkg::Use-Pty=0',
  ];
  show([...aptGet, 'update']);
  show([...aptGet, 'install', '-y', '--no-install-recommends', ...PACKAGES]);
  return existsSync(CHROMIUM) ? null : `Chromium could not be installed by apt-get; see above. ${byHand}`;
}

const runs = (command: string, args: string[]): boolean => spawnSync(command, args, { stdio: 'ignore' }).status === 0;

/** Package managers chat; only what goes wrong is shown. */
const show = ([command, ...args]: string[]) => spawnSync(command, args, { stdio: ['ignore', 'ignore', 'inherit'] });
