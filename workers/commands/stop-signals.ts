/** A signal of the user, as something that work can listen for. */

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** The first signal asks `work` to end; a second one ends the process as it always would. */
export async function withStopSignals<T>(work: (signal: AbortSignal) => Promise<T>): Promise<T> {
  const ending = new AbortController();
  const stop = (): void => {
    off();
    ending.abort();
  };
  const off = (): void => {
    for (const signal of SIGNALS) process.off(signal, stop);
  };
  for (const signal of SIGNALS) process.on(signal, stop);
  try {
    return await work(ending.signal);
  } finally {
    off();
  }
}
