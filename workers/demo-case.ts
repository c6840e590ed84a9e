/** The demo case from `demo-images/`: what is known of it, and its photographs. */
import { readFile } from 'node:fs/promises';
import type { PhotoSource } from '#lib/compare/types.ts';
import { type DemoCase, demoCaseSchema, demoRecipeSchema } from '#shared/demo-case.ts';
import type { ZoneId } from '#shared/zones.ts';

const FOLDER = new URL('../demo-images/', import.meta.url);

/** With what was taken away, zone by zone, mL, in the order of the treated zones. */
export async function demoCase(): Promise<DemoCase & { truthMl: readonly (readonly [ZoneId, number])[] }> {
  const json = async (name: string): Promise<unknown> => JSON.parse(await readFile(new URL(name, FOLDER), 'utf8'));
  const known = demoCaseSchema.parse(await json('case.json'));
  const truth = demoRecipeSchema.parse(await json('recipe.json')).truthMl[known.after[0]!] ?? {};
  return { ...known, truthMl: known.treatedZones.flatMap((zone) => (truth[zone] === undefined ? [] : [[zone, truth[zone]] as const])) };
}

export async function demoSources(files: readonly string[]): Promise<PhotoSource[]> {
  return Promise.all(files.map(async (name) => ({ name, bytes: new Uint8Array(await readFile(new URL(name, FOLDER))) })));
}
