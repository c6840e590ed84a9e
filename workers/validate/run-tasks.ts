/**
 * Runs tasks over threads, keeps each result as it comes, and takes up where a run was stopped: results are good for as long as
 * the files that measure stay the same.
 */
import { createHash } from 'node:crypto';
import { appendFileSync, existsSync, globSync, mkdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Worker } from 'node:worker_threads';
import type { CaseResult } from '#lib/report/validation-result.ts';
import { randomFrom, shuffled } from '#lib/stats/random.ts';
import type { Task } from './tasks.ts';

export type RunOptions = Readonly<{
  root: string;
  /** Photographs and results are kept here. */
  folder: string;
  threads: number;
  /** Leaves results of former runs aside. */
  again: boolean;
  /** No task is begun after so many minutes; Infinity does them all. */
  minutes: number;
  onResult: (done: number, of: number, result: CaseResult) => void;
}>;

/** Results in the order of the tasks; those that there was no time for are left out. */
export async function runTasks(
  tasks: readonly Task[],
  { root, folder, threads, again, minutes, onResult }: RunOptions,
): Promise<CaseResult[]> {
  mkdirSync(folder, { recursive: true });
  const file = join(folder, `results-${measurementHash(root).slice(0, 16)}.jsonl`);
  const kept = again ? new Map<string, CaseResult>() : readResults(file);
  const results = new Map<string, CaseResult>();
  const keyOf = (task: Task): string =>
    createHash('sha256')
      .update(JSON.stringify(withoutFolders(task, root)))
      .digest('hex')
      .slice(0, 24);
  const open: Task[] = [];
  for (const task of tasks) {
    const known = kept.get(keyOf(task));
    if (known) results.set(task.id, known);
    else open.push(task);
  }
  // In random order, so that a run that is stopped has some of everything.
  const queue = shuffled(open, randomFrom(1))[Symbol.iterator]();
  const end = performance.now() + 60_000 * minutes;
  const one = async (): Promise<void> => {
    const worker = new Worker(new URL('./validate.thread.ts', import.meta.url), { workerData: { cacheFolder: folder } });
    try {
      for (const task of queue) {
        if (performance.now() > end) break;
        const result = await answerOf(worker, task);
        appendFileSync(file, `${JSON.stringify({ key: keyOf(task), result })}\n`);
        results.set(task.id, result);
        onResult(results.size, tasks.length, result);
      }
    } finally {
      await worker.terminate();
    }
  };
  await Promise.all(Array.from({ length: Math.min(threads, open.length) }, one));
  return tasks.flatMap((task) => results.get(task.id) ?? []);
}

function answerOf(worker: Worker, task: Task): Promise<CaseResult> {
  return new Promise((resolve, reject) => {
    const clear = (): unknown => worker.off('message', onMessage).off('error', onError);
    const onMessage = (result: CaseResult): void => {
      clear();
      resolve(result);
    };
    const onError = (error: Error): void => {
      clear();
      reject(new Error(`the case ${task.id} failed: ${error.message}`, { cause: error }));
    };
    worker.on('message', onMessage).on('error', onError);
    worker.postMessage(task);
  });
}

/** SHA-256 over the files that measure, and over how the cases are made. */
export function measurementHash(root: string): string {
  const hash = createHash('sha256');
  for (const file of globSync(
    '{shared,lib/{stats,colour,geometry,photo,face,align,light,measure,compare,phantom},workers/validate}/**/*.ts',
    { cwd: root },
  ).sort())
    hash.update(file).update(readFileSync(join(root, file)));
  return hash.digest('hex');
}

function readResults(file: string): Map<string, CaseResult> {
  if (!existsSync(file)) return new Map();
  const lines = readFileSync(file, 'utf8').split('\n').filter(Boolean);
  return new Map(
    lines.flatMap((line): [string, CaseResult][] => {
      try {
        const { key, result } = JSON.parse(line) as { key: string; result: CaseResult };
        return [[key, result]];
      } catch {
        return []; // the last line of a run that was stopped
      }
    }),
  );
}

/** The same task on another machine has the same key. */
const withoutFolders = (task: Task, root: string): unknown =>
  task.kind === 'phantom' ? task : { ...task, before: task.before.replace(root, ''), after: task.after.replace(root, '') };
