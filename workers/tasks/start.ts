/** `npm start`: builds the page when its sources changed, then serves the program on loopback. Arguments go to `ebbline serve`. */
import { buildPage } from './page-build.ts';
import { runStep } from './step.ts';

const built = await buildPage();
if (!built.ok) {
  console.error('[ebbline] The page could not be built, so there is nothing to serve; see above.');
  process.exit(1);
}
const { ok } = await runStep('serve', ['workers/cli.ts', 'serve', ...process.argv.slice(2)]);
process.exitCode = ok ? 0 : 1;
