/**
 * Photographs of patients never leave the machine: no code here names a remote address or can open a connection to one,
 * and places of photographs are never read.
 */
import ts from 'typescript';
import { describe, expect, it } from 'vitest';
import { importsOf, sourceFiles, textOf, withoutComments } from '#tests/sources.ts';

/** Names of XML languages and of forms of files, which nobody visits, and the machine itself. */
const HARMLESS = /^https?:\/\/(www\.w3\.org\/|json-schema\.org\/draft\/|w3id\.org\/ro\/crate\/|127\.0\.0\.1|localhost|\[::1\])/;
/** Names of code systems in the form of addresses, which a standard fixes and nobody visits. */
const NAMES_ONLY = /^lib\/report\/fhir\/systems\.ts$/;
/** An address pieced together: the host is not in the text. `serve.ts` prints its own. */
const PIECED = /^https?:\/\/$/;

/** Every text in the code that a program could use: strings, templates, text of pages. Comments are left out by the parser. */
function textsOf(file: string): string[] {
  const texts: string[] = [];
  const visit = (node: ts.Node): void => {
    if (ts.isStringLiteralLike(node) || ts.isTemplateHead(node) || ts.isTemplateMiddleOrTemplateTail(node) || ts.isJsxText(node))
      texts.push(node.text);
    ts.forEachChild(node, visit);
  };
  visit(ts.createSourceFile(file, textOf(file), ts.ScriptTarget.Latest, true, file.endsWith('x') ? ts.ScriptKind.TSX : ts.ScriptKind.TS));
  return texts;
}

/**
 * The two doors to other machines, both shut unless the user names an address: the queue of a series that many machines share, which
 * carries names and numbers but no photograph, and the user's own store, which is only read from.
 */
const TO_CHOSEN_ADDRESS: Readonly<Record<string, RegExp>> = {
  pg: /^lib\/record\/series\/postgres-/,
  'pg-boss': /^lib\/record\/series\/postgres-/,
  aws4fetch: /^lib\/record\/series\/store-photographs\.ts$/,
};

/** What runs in the page, under its content policy. */
const IN_BROWSER = /^app\/|^workers\/face-browser\.ts$/;

const files = sourceFiles();

describe('law: nothing leaves the machine', () => {
  it('names no remote address in code', () => {
    const wrong = files.flatMap((file) =>
      textsOf(file)
        .flatMap((text) => text.match(/(?:https?|wss?|ftp):\/\/[^\s"'`<>)]*/gi) ?? [])
        .filter(
          (address) =>
            !HARMLESS.test(address) && !NAMES_ONLY.test(file) && !(PIECED.test(address) && /^workers\/(serve|web)\.ts$/.test(file)),
        )
        .map((address) => `${file}: ${address}`),
    );
    expect(wrong).toEqual([]);
  });

  it('names none in style sheets either', () => {
    const wrong = sourceFiles('app/**/*.css').filter((file) => /url\(\s*['"]?(?:https?:)?\/\/|@import/i.test(textOf(file)));
    expect(wrong).toEqual([]);
  });

  it('opens no connection: no client of Node, no socket of the browser', () => {
    const clients = /^(node:)?(https|net|tls|http2|dgram|dns|dns\/promises|inspector)$|^(undici|ws|axios|node-fetch|got)$/;
    const wrong = files.flatMap((file) =>
      importsOf(file)
        .filter((name) => clients.test(name) && !isPortCheck(file, name) && !isServer(file, name))
        .map((name) => `${file} -> ${name}`),
    );
    expect(wrong).toEqual([]);
    const sockets = /\bnew (WebSocket|RTCPeerConnection|WebTransport)\(|navigator\.sendBeacon|http\.(request|get)\(/;
    expect(files.filter((file) => sockets.test(withoutComments(textOf(file))))).toEqual([]);
  });

  it('asks only its own server, and only from the page', () => {
    const calls = /\bfetch\(|new EventSource\(|new XMLHttpRequest\(/;
    const elsewhere = files.filter((file) => !IN_BROWSER.test(file) && !TO_CHOSEN_ADDRESS.aws4fetch!.test(file));
    expect(elsewhere.filter((file) => calls.test(withoutComments(textOf(file))))).toEqual([]);
    // In the page the content policy holds it to 'self'; a plain address must be a path as well.
    const wrong = files.flatMap((file) =>
      [...withoutComments(textOf(file)).matchAll(/\b(?:fetch|new EventSource)\(\s*([`'"].{0,24})/g)]
        .map((match) => match[1])
        .filter((first) => !/^[`'"]\/(?!\/)/.test(first))
        .map((first) => `${file}: ${first}`),
    );
    expect(wrong).toEqual([]);
  });

  it('asks another machine only where the user named it: a queue, or a store that is only read from', () => {
    const wrong = files.flatMap((file) =>
      importsOf(file)
        .filter((name) => TO_CHOSEN_ADDRESS[name] && !TO_CHOSEN_ADDRESS[name].test(file))
        .map((name) => `${file} -> ${name}`),
    );
    expect(wrong).toEqual([]);
    const store = withoutComments(textOf('lib/record/series/store-photographs.ts'));
    expect(store).toMatch(/ask = \(method: 'GET' \| 'HEAD'/);
    expect(store).not.toMatch(/'(PUT|POST|DELETE|PATCH)'|\bbody:/);
    // The commands that lead there open nothing before an address is given.
    expect(textOf('workers/series/open-place.ts')).not.toMatch(/^import .*(postgres|store)-/m);
  });

  it('lets the page load from nowhere else: no outside origin in the content policy', () => {
    const guard = textOf('workers/web-guard.ts');
    expect(guard).toContain("default-src 'none'");
    expect(guard).not.toMatch(/unsafe-hashes|\*\.|https:/);
  });

  it('turns off the usage reports of the page builder', () => {
    expect(textOf('workers/run-node.mjs')).toContain("NEXT_TELEMETRY_DISABLED: '1'");
    expect(textOf('workers/web.ts')).toContain("NEXT_TELEMETRY_DISABLED = '1'");
  });

  it('keeps the landmark engine at the version that has no usage logger', () => {
    const { dependencies } = JSON.parse(textOf('package.json')) as { dependencies: Record<string, string> };
    expect(dependencies['@mediapipe/tasks-vision']).toBe('0.10.35');
  });
});

describe('law: the place of a photograph is never read', () => {
  it('mentions latitude, longitude or GPS only to leave it out', () => {
    // The page tells its reader that places are not read; the rooms that could read them must not know the word.
    const rooms = files.filter((file) => !file.startsWith('app/'));
    const wrong = rooms.flatMap((file) =>
      withoutComments(textOf(file))
        .split('\n')
        .filter((line) => /\bgps|latitude|longitude/i.test(line) && !/gps:\s*false/.test(line))
        .map((line) => `${file}: ${line.trim()}`),
    );
    expect(wrong).toEqual([]);
  });
});

/** The page's own server over TLS answers; it does not call. */
function isServer(file: string, name: string): boolean {
  return (
    name === 'node:https' &&
    file === 'workers/web.ts' &&
    /import \{ createServer as createSecureServer \} from 'node:https'/.test(textOf(file))
  );
}

/** Looking whether a port of this machine is free listens; it does not call. */
function isPortCheck(file: string, name: string): boolean {
  return name === 'node:net' && /^workers\//.test(file) && /import \{ createServer \} from 'node:net'/.test(textOf(file));
}
