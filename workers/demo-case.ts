/** The demo case from `demo-images/`: what is known of it, and its photographs. */
import { readFile } from 'node:fs/promises';
import type { PhotoSource } from '#lib/compare/types.ts';
import { type DemoCase, demoCaseSchema } from '#shared/demo-case.ts';

const FOLDER = new URL('../demo-images/', import.meta.url);

export async function demoCase(): Promise<DemoCase> {
  return demoCaseSchema.parse(JSON.parse(await readFile(new URL('case.json', FOLDER), 'utf8')));
}

export async function demoSources(files: readonly string[]): Promise<PhotoSource[]> {
  return Promise.all(files.map(async (name) => ({ name, bytes: new Uint8Array(await readFile(new URL(name, FOLDER))) })));
}
