/** Sends one file's bytes as they are, and tells how far it is. `fetch` cannot tell, so this is an XMLHttpRequest. */
import { z } from 'zod';
import { type Answer, readAnswer } from '#app/_parts/ask.ts';
import { changeToken } from '#app/_parts/change-token.ts';
import { sha256Schema } from '#shared/job.ts';
import { MOST_UPLOAD_BYTES } from '#shared/upload.ts';

const storedSchema = z.object({ photo: z.object({ sha256: sha256Schema, name: z.string() }) });
export type Stored = z.infer<typeof storedSchema>;

export async function sendPhoto(file: File, onShare: (share: number) => void, signal: AbortSignal): Promise<Answer<Stored>> {
  if (file.size === 0)
    return { ok: false, code: 'empty', message: `${file.name} has no content.`, advice: 'Copy it anew from the camera.' };
  if (file.size > MOST_UPLOAD_BYTES)
    return {
      ok: false,
      code: 'too-large',
      message: `${file.name} is larger than ${MOST_UPLOAD_BYTES / 1e6} MB.`,
      advice: 'Save it as a JPEG.',
    };

  try {
    // Fetched anew for each file: a refusal that comes in the middle of a long upload is not always heard.
    return await sendBytes(file, await changeToken({ anew: true }), onShare, signal);
  } catch {
    return unsent('The program did not answer.', 'See whether it is still running, then try again.');
  }
}

const unsent = (message: string, advice: string): Answer<Stored> => ({ ok: false, code: 'unsent', message, advice });

function sendBytes(
  file: File,
  token: Readonly<Record<string, string>>,
  onShare: (share: number) => void,
  signal: AbortSignal,
): Promise<Answer<Stored>> {
  return new Promise((resolve) => {
    if (signal.aborted) return resolve(unsent('The upload was stopped.', ''));
    const request = new XMLHttpRequest();
    request.open('POST', `/api/photos?name=${encodeURIComponent(file.name)}`);
    request.setRequestHeader('Content-Type', 'application/octet-stream');
    for (const [name, value] of Object.entries(token)) request.setRequestHeader(name, value);
    request.responseType = 'json';
    request.upload.onprogress = (event) => event.lengthComputable && onShare(event.loaded / event.total);
    request.onload = () => resolve(readAnswer(storedSchema, request.status >= 200 && request.status < 300, request.response));
    request.onerror = () =>
      resolve(unsent(`${file.name} could not be read or sent.`, 'See whether the file is still there and the program is running.'));
    request.onabort = () => resolve(unsent('The upload was stopped.', ''));
    signal.addEventListener('abort', () => request.abort(), { once: true });
    request.send(file);
  });
}
