/**
 * What `npm start`, `npm test` and the other scripts call: install what is missing, then do the work under Node 24.
 *
 *   node workers/setup.mjs TASK [ARGUMENT...]     TASK is a file of workers/tasks/, or a tool below
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { giveUp, ROOT } from './install.mjs';
import { runUnderNode24 } from './run-node.mjs';

/** Tools of `node_modules` that scripts call by name. */
const TOOLS = {
  biome: '@biomejs/biome/bin/biome',
  tsc: 'typescript/bin/tsc',
  next: 'next/dist/bin/next',
  vitest: 'vitest/vitest.mjs',
};

const [task, ...rest] = process.argv.slice(2);
const file = join(ROOT, 'workers', 'tasks', `${task}.ts`);
if (task in TOOLS) runUnderNode24([join(ROOT, 'node_modules', TOOLS[task]), ...rest]);
else if (task && existsSync(file)) runUnderNode24([file, ...rest]);
else giveUp(`there is no task named "${task ?? ''}".`);
