/**
 * How the record's key comes from the process that unlocked it to those it starts: over the channel between the two, never by the
 * environment, an argument or a file.
 */
import type { ChildProcess } from 'node:child_process';

/** Told to a child that a key will come. */
export const KEY_COMES = '--key-from-parent';

type KeyMessage = { recordKey: string };

export function sendKey(child: ChildProcess, key: Uint8Array): void {
  child.send({ recordKey: Buffer.from(key).toString('base64') } satisfies KeyMessage);
}

/** Waits for it. Rejects when the parent is gone before it came. */
export function receiveKey(): Promise<Uint8Array> {
  return new Promise((resolve, reject) => {
    const over = (): void => {
      process.off('message', hear);
      process.off('disconnect', gone);
    };
    const hear = (message: unknown): void => {
      const text = (message as Partial<KeyMessage> | null)?.recordKey;
      if (typeof text !== 'string') return;
      over();
      resolve(new Uint8Array(Buffer.from(text, 'base64')));
    };
    const gone = (): void => {
      over();
      reject(new Error('the program that started this one ended before it sent the key of the record'));
    };
    process.on('message', hear);
    process.once('disconnect', gone);
  });
}
