/** A PDF through other people's eyes: poppler and qpdf, on a file in a folder of the test's own. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { PrintedReport } from '#lib/report/pdf/blocks.ts';
import { hasProgram, runProgram } from '#tests/debian-tool.ts';

export const hasReaders = hasProgram('pdfinfo') && hasProgram('qpdf');

/** Runs `work` with the path of a file that holds the bytes, and takes it away again. */
function withFile<T>(bytes: Uint8Array, work: (path: string) => T): T {
  const folder = mkdtempSync(join(tmpdir(), 'ebbline-pdf-'));
  try {
    const path = join(folder, 'report.pdf');
    writeFileSync(path, bytes);
    return work(path);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

const run = (program: string, args: string[]): string => {
  const { status, out } = runProgram(program, args);
  if (status !== 0) throw new Error(`${program} ended with ${status}: ${out}`);
  return out;
};

/** "Title" to its value, and so on. */
export const infoOf = (bytes: Uint8Array): Record<string, string> =>
  withFile(bytes, (path) =>
    Object.fromEntries(
      run('pdfinfo', [path])
        .split('\n')
        .flatMap((line) => {
          const match = /^([^:]+):\s+(.*)$/.exec(line);
          return match ? [[match[1]!, match[2]!]] : [];
        }),
    ),
  );

/** The words of each page in the order in which they stand in the file, lines and runs of spaces made one space. */
export const pageWords = (bytes: Uint8Array): string[] =>
  withFile(bytes, (path) => run('pdftotext', ['-raw', '-enc', 'UTF-8', path, '-']))
    .split('\f')
    .slice(0, -1)
    .map((page) => page.replace(/[\s\u00a0]+/g, ' ').trim());

/** The words of a whole report without the running lines of its pages, which may stand in the middle of a sentence. */
export const bodyWords = (bytes: Uint8Array, { running, footing, draft }: Pick<PrintedReport, 'running' | 'footing' | 'draft'>): string =>
  pageWords(bytes)
    .map((page) =>
      [running, draft ?? '', footing, /Page \d+ of \d+/]
        .reduce((text: string, line) => text.replace(line, ''), page)
        .replace(/\s+/g, ' ')
        .trim(),
    )
    .join(' ');

/** The tree of structure as poppler prints it: "H1 (block)", indented. */
export const structureOf = (bytes: Uint8Array): string => withFile(bytes, (path) => run('pdfinfo', ['-struct', path]));

export const fontsOf = (bytes: Uint8Array): { name: string; embedded: boolean; unicode: boolean }[] =>
  withFile(bytes, (path) => run('pdffonts', [path]))
    .split('\n')
    .slice(2)
    .filter(Boolean)
    .map((line) => {
      const [name] = line.split(/\s+/);
      const [embedded, , unicode] = line
        .slice(line.indexOf('Identity-H') + 10)
        .trim()
        .split(/\s+/);
      return { name: name!, embedded: embedded === 'yes', unicode: unicode === 'yes' };
    });

/** Pictures as "width x height" with their encoding; one line for each time one is shown. */
export const imagesOf = (bytes: Uint8Array): { page: number; width: number; height: number; encoding: string; object: string }[] =>
  withFile(bytes, (path) => run('pdfimages', ['-list', path]))
    .split('\n')
    .slice(2)
    .filter(Boolean)
    .map((line) => line.trim().split(/\s+/))
    .map(([page, , , width, height, , , , encoding, , object]) => ({
      page: Number(page),
      width: Number(width),
      height: Number(height),
      encoding: encoding!,
      object: object!,
    }));

/** What qpdf has to say of the file; it ends with 0 only when it found nothing wrong. */
export const syntaxCheck = (bytes: Uint8Array): { status: number | null; out: string } =>
  withFile(bytes, (path) => runProgram('qpdf', ['--check', path]));

/** The drawing operators of each page, unpacked. */
export const contentStreams = (bytes: Uint8Array): string[] =>
  withFile(bytes, (path) => {
    const objects = [...run('qpdf', ['--show-pages', path]).matchAll(/content:\s+(\d+) 0 R/g)].map((match) => match[1]!);
    return objects.map((object) => run('qpdf', [`--show-object=${object}`, '--filtered-stream-data', path]));
  });

/** Operators that paint or show something outside of every marked content, which a tagged file must not have. */
export function untagged(stream: string): string[] {
  const paints = /^(?:S|s|f|F|f\*|B|B\*|b|b\*|sh|Do|Tj|TJ|'|")$/;
  let depth = 0;
  const wrong: string[] = [];
  for (const line of stream.split('\n')) {
    const operator = line.trim().split(/\s+/).at(-1) ?? '';
    if (operator === 'BDC' || operator === 'BMC') depth++;
    else if (operator === 'EMC') depth--;
    else if (depth === 0 && paints.test(operator)) wrong.push(line);
  }
  return wrong;
}
