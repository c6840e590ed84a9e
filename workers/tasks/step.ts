/** One step of a task as a process of its own: what it is called, how it ended, how long it took. */
import { spawn } from 'node:child_process';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('../..', import.meta.url));

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

export type Step = Readonly<{ name: string; ok: boolean; seconds: number }>;

/** Runs a script of `node_modules` or of the project under this Node, with its output shown. */
export async function runStep(name: string, args: readonly string[], env: Readonly<Record<string, string>> = {}): Promise<Step> {
  console.log(`\n[ebbline] ${name}`);
  const begun = performance.now();
  const ok = await new Promise<boolean>((resolve) => {
    const child = spawn(process.execPath, [...args], { cwd: ROOT, stdio: 'inherit', env: { ...process.env, ...env } });
    // A signal to this process alone would leave the child behind.
    const handOn = (signal: NodeJS.Signals) => void child.kill(signal);
    for (const signal of SIGNALS) process.on(signal, handOn);
    const end = (success: boolean) => {
      for (const signal of SIGNALS) process.off(signal, handOn);
      resolve(success);
    };
    child.on('error', () => end(false));
    child.on('exit', (code) => end(code === 0));
  });
  return { name, ok, seconds: (performance.now() - begun) / 1000 };
}
