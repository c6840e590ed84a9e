/**
 * The invented case that comes with the program: `demo-images/case.json`, beside its rendered photographs and the recipe
 * they were rendered from, which alone knows what was taken away.
 */
import { z } from 'zod';
import { zoneIdSchema } from './comparison.ts';
import { daySchema } from './job.ts';

const fileName = z.string().regex(/^[a-z0-9][a-z0-9.-]*\.jpe?g$/);

export const demoCaseSchema = z.object({
  /** A pseudonymous code, such as EBB-0417. */
  code: z.string(),
  title: z.string(),
  /** Files in demo-images/, one per view. */
  before: z.array(fileName).min(1),
  after: z.array(fileName).min(1),
  treatedZones: z.array(zoneIdSchema),
  treatedOn: daySchema,
  afterOn: daySchema,
});
export type DemoCase = z.infer<typeof demoCaseSchema>;

/** The part of `demo-images/recipe.json` that says what was taken away from each photograph, mL; loss is negative. */
export const demoRecipeSchema = z.object({ truthMl: z.record(z.string(), z.partialRecord(zoneIdSchema, z.number())) });
