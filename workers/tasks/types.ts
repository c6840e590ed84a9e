/** `npm run typecheck`: the types of everything. The page's own types are made by its builder, and must be there first. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { ROOT, runStep } from './step.ts';

if (!existsSync(join(ROOT, 'next-env.d.ts')))
  await runStep("make the page's types", [join(ROOT, 'node_modules/next/dist/bin/next'), 'typegen']);
const { ok } = await runStep('types', [join(ROOT, 'node_modules/typescript/bin/tsc'), '--noEmit', '-p', '.']);
process.exitCode = ok ? 0 : 1;
