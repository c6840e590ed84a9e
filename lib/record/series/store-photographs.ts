/**
 * Photographs of a series in a store that speaks S3, at an address that the user gives. This is the only place of the program that
 * asks anything of another machine for photographs, and it only ever reads: nothing is sent but the signed request.
 *
 * Source  AWS Signature Version 4, by aws4fetch; checked against the examples that AWS publishes.
 */
import { AwsClient } from 'aws4fetch';
import { insideFolder } from '#shared/inside-folder.ts';
import { found, refused } from '#shared/outcome.ts';
import { MOST_BYTES, outside, type Photographs } from './photographs.ts';

export type S3Place = Readonly<{
  /** Of the store, such as http://127.0.0.1:9000; the bucket follows as the first part of the path. */
  endpoint: string;
  bucket: string;
  /** In front of every name; empty or ending with a slash. */
  prefix: string;
  region: string;
  accessKeyId: string;
  secretAccessKey: string;
  sessionToken: string | null;
}>;

const TIMEOUT_MS = 120_000;
const RETRIES = 5;

/** Throws RangeError with a sentence when the address is no `s3://bucket/prefix`, or the environment lacks what a store needs. */
export function s3Place(address: string, env: Readonly<Record<string, string | undefined>>): S3Place {
  const match = /^s3:\/\/([^/]+)(?:\/(.*))?$/.exec(address);
  if (!match) throw new RangeError(`"${address}" names no store. Write s3://bucket/prefix.`);
  const need = (name: string): string => {
    const value = env[name];
    if (!value) throw new RangeError(`${name} is not set. A store needs EBBLINE_S3_ENDPOINT, EBBLINE_S3_KEY and EBBLINE_S3_SECRET.`);
    return value;
  };
  const endpoint = need('EBBLINE_S3_ENDPOINT').replace(/\/+$/, '');
  if (!URL.canParse(endpoint) || !/^https?:$/.test(new URL(endpoint).protocol))
    throw new RangeError(`EBBLINE_S3_ENDPOINT is "${endpoint}", which is no web address.`);
  const prefix = match[2] ?? '';
  return {
    endpoint,
    bucket: match[1]!,
    prefix: prefix === '' || prefix.endsWith('/') ? prefix : `${prefix}/`,
    region: env.EBBLINE_S3_REGION || 'us-east-1',
    accessKeyId: need('EBBLINE_S3_KEY'),
    secretAccessKey: need('EBBLINE_S3_SECRET'),
    sessionToken: env.EBBLINE_S3_TOKEN || null,
  };
}

export function s3Photographs(place: S3Place): Photographs {
  const { accessKeyId, secretAccessKey, sessionToken, region } = place;
  const client = new AwsClient({
    accessKeyId,
    secretAccessKey,
    ...(sessionToken ? { sessionToken } : {}),
    region,
    service: 's3',
    retries: RETRIES,
    initRetryMs: 200,
  });
  const ask = (method: 'GET' | 'HEAD', file: string): Promise<Response> =>
    client.fetch(addressOf(place, file), { method, signal: AbortSignal.timeout(TIMEOUT_MS) });
  return {
    read: async (file) => {
      if (!insideFolder(file)) return refused('outside', outside(file));
      try {
        const response = await ask('GET', file);
        if (response.status === 404) return refused('no-file', `There is no object ${file} in the store.`);
        if (response.status === 403)
          return refused('not-allowed', `The store does not let you read ${file}. Check EBBLINE_S3_KEY and EBBLINE_S3_SECRET.`);
        if (!response.ok) return refused('unreadable', `The store answered ${response.status} for ${file}.`);
        if (Number(response.headers.get('content-length')) > MOST_BYTES)
          return refused('too-large', `${file} is larger than ${MOST_BYTES / 1e6} MB, the most that is taken. Export it as a JPEG.`);
        return found(new Uint8Array(await response.arrayBuffer()));
      } catch (error) {
        return refused(
          'unreadable',
          `The store could not be asked for ${file} (${cause(error)}). Check EBBLINE_S3_ENDPOINT and the network.`,
        );
      }
    },
    stamp: async (file) => {
      if (!insideFolder(file)) return null;
      const response = await ask('HEAD', file).catch(() => null);
      return response?.ok ? response.headers.get('etag') : null;
    },
  };
}

/** Each part of the key is coded as RFC 3986 has it, which is what is signed, so that a plus, a space or a bracket stays what it is. */
export const addressOf = ({ endpoint, bucket, prefix }: Pick<S3Place, 'endpoint' | 'bucket' | 'prefix'>, file: string): string =>
  `${endpoint}/${[bucket, ...`${prefix}${file}`.split('/')].map(coded).join('/')}`;

const coded = (part: string): string =>
  encodeURIComponent(part).replace(/[!'()*]/g, (sign) => `%${sign.charCodeAt(0).toString(16).toUpperCase()}`);

const cause = (error: unknown): string => {
  const under = error instanceof Error && error.cause instanceof Error ? error.cause : error;
  return under instanceof Error ? ((under as NodeJS.ErrnoException).code ?? under.message) : String(under);
};
