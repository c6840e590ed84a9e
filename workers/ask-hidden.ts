/** Asks one line at the terminal without showing what is typed. */
import { createInterface } from 'node:readline';
import { Writable } from 'node:stream';

/** Null when the user ended the input or pressed Ctrl-C. The prompt goes to stderr, so that results can be sent elsewhere. */
export function askHidden(prompt: string): Promise<string | null> {
  // What readline would echo goes nowhere.
  const nowhere = new Writable({ write: (_chunk, _encoding, done) => done() });
  const lines = createInterface({ input: process.stdin, output: nowhere, terminal: true, historySize: 0 });
  process.stderr.write(prompt);
  return new Promise((resolve) => {
    let answer: string | null = null;
    lines.once('line', (line) => {
      answer = line;
      lines.close();
    });
    lines.once('SIGINT', () => lines.close());
    lines.once('close', () => {
      process.stderr.write('\n');
      resolve(answer);
    });
  });
}
