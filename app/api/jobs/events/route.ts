/**
 * GET ?ids=a,b,c: news of jobs as server-sent events, one message whenever a job's news changes, until all are over.
 * The record is asked a few times a second; it is another process that does the work.
 */

import { problem } from '#app/_server/answer.ts';
import { jobNews } from '#app/_server/job-news.ts';
import { watchedIds } from '#app/_server/watched-ids.ts';
import { isOver } from '#shared/job-news.ts';

export const runtime = 'nodejs';
export const dynamic = 'force-dynamic';

const EVERY_MS = 200;
/** A comment now and then shows a waiting browser that the line is open. */
const SIGN_OF_LIFE_MS = 10_000;

export function GET(request: Request): Response {
  const ids = watchedIds(request.url);
  if (!ids) return problem(400, 'not-understood', 'The list of jobs was not understood.', 'Reload the page.');

  const text = new TextEncoder();
  const stream = new ReadableStream<Uint8Array>({
    async start(controller) {
      const told = new Map<string, string>();
      let lastWord = Date.now();
      while (!request.signal.aborted) {
        const news = await Promise.all(ids.map(jobNews));
        for (const [index, item] of news.entries()) {
          const line = JSON.stringify(item);
          if (told.get(ids[index]!) === line) continue;
          told.set(ids[index]!, line);
          if (item) controller.enqueue(text.encode(`data: ${line}\n\n`));
          lastWord = Date.now();
        }
        if (news.every((item) => item === null || isOver(item))) {
          controller.enqueue(text.encode('event: over\ndata: {}\n\n'));
          break;
        }
        if (Date.now() - lastWord > SIGN_OF_LIFE_MS) {
          controller.enqueue(text.encode(': waiting\n\n'));
          lastWord = Date.now();
        }
        await new Promise((resolve) => setTimeout(resolve, EVERY_MS));
      }
      try {
        controller.close();
      } catch {
        // The browser has closed the line already.
      }
    },
  });
  // `no-transform` keeps a compressor from holding lines back.
  return new Response(stream, {
    headers: { 'Content-Type': 'text/event-stream; charset=utf-8', 'Cache-Control': 'private, no-store, no-transform' },
  });
}
