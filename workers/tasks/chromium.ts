/**
 * Programs that the tests look through, installed by Debian's package manager when they are missing: Chromium for the browser tests,
 * which must be there, and independent readers of what this program writes. Tests of an absent reader are skipped, and say so.
 */
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';

const CHROMIUM = '/usr/bin/chromium';
const PACKAGES = ['chromium', 'fonts-liberation'];
/** One program of each package that reads for the tests. */
const READERS: readonly (readonly [program: string, debianPackage: string])[] = [
  ['/usr/bin/pdfinfo', 'poppler-utils'],
  ['/usr/bin/qpdf', 'qpdf'],
  ['/usr/bin/dciodvfy', 'dicom3tools'],
  ['/usr/bin/dcmdump', 'dcmtk'],
  ['/usr/lib/python3/dist-packages/pydicom', 'python3-pydicom'],
  // Not a reader: the tests of series on many machines start a server of their own.
  ['/usr/lib/postgresql', 'postgresql'],
];

/** Null when Chromium is there; otherwise the sentence that says what to do. */
export function ensureChromium(): string | null {
  const readers = READERS.filter(([program]) => !existsSync(program)).map(([, debianPackage]) => debianPackage);
  const withoutChromium = installing(existsSync(CHROMIUM) ? readers : [...PACKAGES, ...readers]);
  return existsSync(CHROMIUM) ? null : withoutChromium;
}

/** Why Chromium is not there afterwards, if it is not. */
function installing(packages: readonly string[]): string | null {
  if (packages.length === 0) return null;
  const byHand = `Install it with: sudo apt-get install ${PACKAGES.join(' ')}`;
  if (!runs('apt-get', ['--version']))
    return `The browser tests need Chromium at ${CHROMIUM}, and this system has no apt-get to install it with.`;
  const asRoot = process.getuid?.() === 0 ? [] : runs('sudo', ['-n', 'true']) ? ['sudo', '-n'] : null;
  if (asRoot === null) return `The browser tests need Chromium, and installing it needs the administrator. ${byHand}`;
  console.log(`[ebbline] installing by apt-get: ${packages.join(', ')}`);
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
  show([...aptGet, 'install', '-y', '--no-install-recommends', ...packages]);
  return `Chromium could not be installed by apt-get; see above. ${byHand}`;
}

const runs = (command: string, args: string[]): boolean => spawnSync(command, args, { stdio: 'ignore' }).status === 0;

/** Package managers chat; only what goes wrong is shown. */
const show = ([command, ...args]: string[]) => spawnSync(command, args, { stdio: ['ignore', 'ignore', 'inherit'] });
