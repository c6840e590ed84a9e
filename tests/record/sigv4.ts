/**
 * The signature of a request to a store, worked out anew from the request alone, for a test server to check.
 * Source  AWS Signature Version 4, "Authenticating Requests: Using the Authorization Header", Amazon S3 API reference.
 */
import { createHash, createHmac } from 'node:crypto';

export type SignedRequest = Readonly<{
  method: string;
  /** As it stands in the request line, coded. */
  path: string;
  query: string;
  /** Lower-case names. */
  headers: Readonly<Record<string, string>>;
}>;

const hmac = (key: string | Buffer, text: string): Buffer => createHmac('sha256', key).update(text).digest();

/** The signature that the request ought to carry, by the headers that its `authorization` says were signed. */
export function expectedSignature(request: SignedRequest, secret: string): string {
  const match = /Credential=[^/]+\/(\d{8})\/([^/]+)\/([^/]+)\/aws4_request, ?SignedHeaders=([^,]+)/.exec(
    request.headers.authorization ?? '',
  );
  if (!match) throw new Error('the request carries no signature of version 4');
  const [, day, region, service, signed] = match as unknown as [string, string, string, string, string];
  const names = signed.split(';');
  const query = request.query
    .split('&')
    .filter(Boolean)
    .map((pair) => (pair.includes('=') ? pair : `${pair}=`))
    .sort()
    .join('&');
  const canonical = [
    request.method,
    request.path,
    query,
    ...names.map((name) => `${name}:${(request.headers[name] ?? '').trim().replace(/\s+/g, ' ')}`),
    '',
    signed,
    request.headers['x-amz-content-sha256'],
  ].join('\n');
  const scope = `${day}/${region}/${service}/aws4_request`;
  const hash = createHash('sha256').update(canonical).digest('hex');
  const text = ['AWS4-HMAC-SHA256', request.headers['x-amz-date'], scope, hash].join('\n');
  const key = hmac(hmac(hmac(hmac(`AWS4${secret}`, day), region), service), 'aws4_request');
  return hmac(key, text).toString('hex');
}
