/** `npm run build`: builds the page anew. */
import { buildPage } from './page-build.ts';

const { ok } = await buildPage(true);
process.exitCode = ok ? 0 : 1;
