/** A thread of the validation: takes one task at a time and answers with its figures. */
import { parentPort, workerData } from 'node:worker_threads';
import { measureCase } from './measure-case.ts';
import { measureReal } from './measure-real.ts';
import type { Task } from './tasks.ts';

if (!parentPort) throw new Error('validate.thread.ts runs as a worker thread of run-tasks.ts');
const port = parentPort;
const { cacheFolder } = workerData as { cacheFolder: string };

port.on('message', async (task: Task) => {
  port.postMessage(task.kind === 'phantom' ? await measureCase(task.one, cacheFolder) : await measureReal(task));
});
