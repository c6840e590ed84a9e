/** What a command of `ebbline` is, what it may use of the world, and the exit codes all share. */
import type { Measuring } from '#workers/measuring.ts';

/** 0 measured, 2 usage, 3 not comparable, 4 unreadable input, 5 stopped before the end; 1 is the program's own error. */
export const EXIT = { done: 0, ownError: 1, usage: 2, notComparable: 3, unreadable: 4, unfinished: 5 } as const;
export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

export type World = Readonly<{
  /** Results, and nothing else. */
  out: (text: string) => void;
  /** Progress and complaints. */
  err: (text: string) => void;
  /** Asks one line at the terminal without showing it; null when the user gives none. Absent when there is nobody to ask. */
  ask?: (prompt: string) => Promise<string | null>;
  /** Whether `err` is a terminal that can redraw a line, and how wide it is. */
  terminal: boolean;
  columns: number;
  env: Readonly<Record<string, string | undefined>>;
  /** Loads the measurement when it is first needed. */
  measuring: () => Promise<Measuring>;
}>;

export type Command = Readonly<{
  name: string;
  /** One line for the list of commands. */
  summary: string;
  /** The whole help, examples included. */
  help: string;
  /** The help of the part that the arguments name, where a command has parts. */
  helpFor?: (args: readonly string[]) => Promise<string>;
  run: (args: readonly string[], world: World) => Promise<ExitCode>;
}>;

/** The user asked for something that cannot be done so; `message` is one sentence, and the exit code is `usage`. */
export class UsageError extends Error {}
