/** What the runner and its threads say to each other. Plain data; neither side imports the other. */
import type { Job } from '#shared/job.ts';

/** Given to a thread when it starts. */
export type ThreadStart = Readonly<{
  dataDir: string;
  /** Opens the record; without it the key file does. */
  key?: Uint8Array | undefined;
  runner: string;
  /** One Int32: 1 while the running job is to be stopped. Shared, because the measuring leaves no moment for messages. */
  stop: Int32Array<SharedArrayBuffer>;
}>;

export type ToThread<Task extends { id: string } = Job> = Readonly<{ do: Task }>;

/** `trouble` is the program's own error: the stack for the log, never for the user. */
export type FromThread = Readonly<{ finished: string; trouble: string | null }>;
