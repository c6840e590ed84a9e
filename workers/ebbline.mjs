#!/usr/bin/env node
/** The command `ebbline`, under whatever Node is at hand: hands its arguments to `cli.ts` under Node 24. */
import { join } from 'node:path';
import { ROOT } from './install.mjs';
import { runUnderNode24 } from './run-node.mjs';

runUnderNode24([join(ROOT, 'workers', 'cli.ts'), ...process.argv.slice(2)], process.cwd());
