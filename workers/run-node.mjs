/** Runs a file of the project under Node 24, whatever Node was called with, and ends as it ended. */
import { spawn } from 'node:child_process';
import { delimiter, dirname } from 'node:path';
import { ensureInstalled, ROOT } from './install.mjs';

/** `args` is a script and what follows it. `folder` is where relative paths of the user begin. */
export function runUnderNode24(args, folder = ROOT) {
  const node = ensureInstalled();
  const child = spawn(node, args, {
    cwd: folder,
    stdio: 'inherit',
    env: { ...process.env, PATH: `${dirname(node)}${delimiter}${process.env.PATH ?? ''}`, NEXT_TELEMETRY_DISABLED: '1' },
  });
  // Ctrl-C reaches the child by itself on a terminal; a signal to this process alone must be handed on.
  for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.on(signal, () => child.kill(signal));
  // npm ends its shell but not what the shell started; whoever loses that shell must end by itself.
  const parent = process.ppid;
  if (process.env.npm_lifecycle_event) setInterval(() => process.ppid === parent || child.kill('SIGTERM'), 500).unref();
  child.on('error', (error) => {
    console.error(`ebbline: Node 24 could not be started: ${error.message}`);
    process.exit(1);
  });
  child.on('exit', (code, signal) => {
    if (signal === null) process.exit(code ?? 1);
    for (const each of ['SIGINT', 'SIGTERM', 'SIGHUP']) process.removeAllListeners(each);
    process.kill(process.pid, signal);
  });
}
