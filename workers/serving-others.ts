/**
 * What serving other machines takes: a password, and either TLS or the express word that none is wanted; and under which names and
 * addresses they reach this one.
 */
import { createPrivateKey, X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { hostname, networkInterfaces } from 'node:os';
import { storedPassword, whyNotPassword } from '#lib/record/password.ts';

export type Others = Readonly<{
  tlsCert: string | null;
  tlsKey: string | null;
  /** Said by the user: unencrypted is wanted, such as inside an encrypted network of their own. */
  plainHttp: boolean;
  /** Further names under which it is reached. */
  names: readonly string[];
}>;

export const NO_OTHERS: Others = { tlsCert: null, tlsKey: null, plainHttp: false, names: [] };

/** Null, or the sentence that says what is still missing before `host` can be served. */
export function whyNotOthers(
  host: string,
  dataDir: string,
  others: Others,
  env: Readonly<Record<string, string | undefined>>,
  now = new Date(),
): string | null {
  const shown = `Serving on ${host} shows patients' photographs to other machines`;
  const word = env.EBBLINE_PASSWORD;
  if (!word && !hasPassword(dataDir))
    return `${shown}, which needs a password. Set one with "ebbline password set" or in EBBLINE_PASSWORD, or leave --host away to serve this machine alone.`;
  const weak = word ? whyNotPassword(word) : null;
  if (weak) return `EBBLINE_PASSWORD cannot be used. ${weak}`;
  if ((others.tlsCert === null) !== (others.tlsKey === null)) return '--tls-cert and --tls-key belong together; name both.';
  if (others.tlsCert !== null && others.tlsKey !== null)
    return others.plainHttp ? '--plain-http and --tls-cert exclude each other.' : whyNotTls(others.tlsCert, others.tlsKey, now);
  if (!others.plainHttp)
    return `${shown}, and without encryption everybody on the way can read them and the password. Give a certificate with --tls-cert and --tls-key, or say --plain-http if the network itself is encrypted.`;
  return null;
}

/** A file that cannot be read counts as one: the page's server then says what is wrong with it. */
function hasPassword(dataDir: string): boolean {
  try {
    return storedPassword(dataDir) !== null;
  } catch {
    return true;
  }
}

function whyNotTls(certFile: string, keyFile: string, now: Date): string | null {
  try {
    const certificate = new X509Certificate(readFileSync(certFile));
    if (!certificate.checkPrivateKey(createPrivateKey(readFileSync(keyFile))))
      return `${keyFile} is not the key of the certificate in ${certFile}.`;
    // Browsers would not let anybody in, and it would look like a fault of the program.
    if (certificate.validToDate < now)
      return `The certificate in ${certFile} ran out on ${certificate.validToDate.toISOString().slice(0, 10)}. Renew it.`;
    return null;
  } catch (error) {
    return `The certificate ${certFile} with its key ${keyFile} cannot be used: ${error instanceof Error ? error.message : error}.`;
  }
}

/** Names and addresses under which a server bound to `host` is reached, beside loopback's; those given come first. */
export function ownNames(host: string, given: readonly string[]): string[] {
  if (host !== '0.0.0.0' && host !== '::') return [...given, host];
  const addresses = Object.values(networkInterfaces())
    .flatMap((list) => list ?? [])
    .filter(({ internal, family, scopeid }) => !internal && (host === '::' || family === 'IPv4') && !scopeid)
    .map(({ address }) => address);
  const name = hostname().toLowerCase();
  return [...new Set([...given, ...addresses, name, `${name}.local`])];
}
