/** The project's own source files and what they import, for the tests that hold the house in order. */
import { globSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

export const ROOT = join(import.meta.dirname, '..');

/** Paths from the root, with forward slashes, sorted. */
export const sourceFiles = (pattern = '{app,lib,shared,workers}/**/*.{ts,tsx,mjs}'): string[] => globSync(pattern, { cwd: ROOT }).sort();

export const textOf = (file: string): string => readFileSync(join(ROOT, file), 'utf8');

/** "lib/face/head.ts" is in the room "lib/face", "workers/tasks/test.ts" in "workers". */
export const roomOf = (path: string): string =>
  path
    .split('/')
    .slice(0, path.startsWith('lib/') ? 2 : 1)
    .join('/');

/** What a file imports, statically, dynamically or for its types. */
export function importsOf(file: string): string[] {
  const text = withoutComments(textOf(file));
  const patterns = [
    /\bfrom\s*['"]([^'"\n]+)['"]/g,
    /\bimport\s*\(?\s*['"]([^'"\n]+)['"]/g,
    /\b(?:require(?:\.resolve)?|createRequire\([^)]*\))\(\s*['"]([^'"\n]+)['"]/g,
  ];
  return patterns.flatMap((pattern) => [...text.matchAll(pattern)].map((match) => match[1]));
}

/** Good enough for this project: a comment opens only where code could. */
export function withoutComments(text: string): string {
  return text.replace(/\/\*[\s\S]*?\*\//g, '').replace(/(^|[\s;,{}()])\/\/[^\n]*/g, '$1');
}
