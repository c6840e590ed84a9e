/** How every route answers: JSON that is never kept by a cache, and problems of one shape with a remedy in them. */

/** What a route says when it cannot do what was asked; `advice` is empty when there is nothing to advise. */
export type Problem = Readonly<{ error: Readonly<{ code: string; message: string; advice: string }> }>;

/** Photographs and what is measured from them belong to a patient: no cache keeps them. Nothing in an answer is a page that runs. */
export const UNKEPT: Readonly<Record<string, string>> = {
  'Cache-Control': 'private, no-store',
  'Content-Security-Policy': "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
};

export function answer(data: unknown, status = 200): Response {
  return Response.json(data, { status, headers: UNKEPT });
}

export function problem(status: number, code: string, message: string, advice = ''): Response {
  const body: Problem = { error: { code, message, advice } };
  return Response.json(body, { status, headers: UNKEPT });
}

export const noSuchAddress = (): Response =>
  problem(404, 'not-found', 'There is nothing at this address.', 'Go back to the bench and start from there.');

/** Bytes with their headers, unkept. A copy is not made. */
export function bytesAnswer(bytes: Uint8Array, headers: Readonly<Record<string, string>>): Response {
  return new Response(bytes as Uint8Array<ArrayBuffer>, { headers: { ...UNKEPT, ...headers } });
}
