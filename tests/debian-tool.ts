/** Programs of Debian that tests ask for a second opinion; a test that needs one is skipped when it is absent, and says which. */
import { spawnSync } from 'node:child_process';

/** Whether `program` can be started here. */
export const hasProgram = (program: string): boolean => spawnSync('which', [program]).status === 0;

const PYTHON = '/usr/bin/python3';

/** Whether Debian's own Python can import `module`. */
export const hasPython = (module: string): boolean => spawnSync(PYTHON, ['-c', `import ${module}`]).status === 0;

/** Runs a program to its end. Throws when it cannot be started. */
export function runProgram(program: string, args: readonly string[], input?: string): { status: number; out: string; err: string } {
  const { status, stdout, stderr, error } = spawnSync(program, args, { encoding: 'utf8', maxBuffer: 64e6, ...(input ? { input } : {}) });
  if (error) throw error;
  return { status: status ?? -1, out: stdout, err: stderr };
}

/** Runs a Python script, given as text, with arguments; what it prints is JSON. */
export function pythonJson(script: string, args: readonly string[]): unknown {
  const { status, out, err } = runProgram(PYTHON, ['-c', script, ...args]);
  if (status !== 0) throw new Error(err);
  return JSON.parse(out);
}
