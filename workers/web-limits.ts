/** How much a request may bring along, decided from its headers before anything reads its body. */
import type { IncomingHttpHeaders } from 'node:http';

/** Of JSON; the longest that a page sends is a visit's worth of photographs by their addresses. */
export const MOST_BODY_BYTES = 1_000_000;

/** Routes that take a file as a stream, and count its bytes themselves. */
const STREAMED = new Set(['/api/photos']);

/** Null when the body may come; else the answer's status and sentence. Node itself holds a body to the length it promised. */
export function bodyRefusal(path: string, headers: IncomingHttpHeaders): { status: 411 | 413; message: string } | null {
  if (STREAMED.has(path)) return null;
  if (headers['transfer-encoding'] !== undefined)
    return { status: 411, message: 'A request without a length was refused. Send it with its Content-Length.' };
  const length = Number(headers['content-length'] ?? 0);
  if (length > MOST_BODY_BYTES)
    return { status: 413, message: `A request may hold ${MOST_BODY_BYTES / 1e6} MB at most; this one is larger.` };
  return null;
}
