/** The body of a request as JSON, when it is small; its length was held to the limit before. */
import type { IncomingMessage } from 'node:http';

const MOST_BYTES = 10_000;

/** Null when it is larger, broken off, or no JSON. */
export async function readSmallBody(request: IncomingMessage): Promise<unknown> {
  const chunks: Buffer[] = [];
  let bytes = 0;
  try {
    for await (const chunk of request as AsyncIterable<Buffer>) {
      bytes += chunk.length;
      if (bytes > MOST_BYTES) return null;
      chunks.push(chunk);
    }
    return JSON.parse(Buffer.concat(chunks).toString('utf8'));
  } catch {
    return null;
  }
}
