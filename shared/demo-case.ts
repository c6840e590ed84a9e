/** The invented case that comes with the program: `demo-images/case.json`, beside its photographs, which are rendered. */
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
  /** What was taken away when the photographs were rendered, mL; loss is negative. */
  truthMl: z.partialRecord(zoneIdSchema, z.number()),
});
export type DemoCase = z.infer<typeof demoCaseSchema>;
