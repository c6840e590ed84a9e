import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { ENGINE_FILES, writeEngineFiles } from '#workers/engine-files.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ebbline-engine-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('law', () => {
  it('writes every file whole and leaves nothing unfinished beside', () => {
    const names = writeEngineFiles(folder);
    expect(names).toEqual(ENGINE_FILES.map((file) => file.name));
    expect(new Set(names).size).toBe(names.length);
    expect(readdirSync(folder).sort()).toEqual([...names].sort());
    for (const file of ENGINE_FILES) expect(readFileSync(join(folder, file.name)).equals(file.bytes())).toBe(true);
  });

  it('leaves right files alone and mends a cut one', () => {
    // A mended file comes by another name, so it is another file; times of change may be equal to the millisecond.
    const files = () => new Map(ENGINE_FILES.map(({ name }) => [name, statSync(join(folder, name)).ino]));
    writeFileSync(join(folder, 'face-models.task'), 'cut');
    const before = files();
    writeEngineFiles(folder);
    const changed = [...files()].filter(([name, file]) => file !== before.get(name)).map(([name]) => name);
    expect(changed).toEqual(['face-models.task']);
  });

  it('serves modules that import only what is served, by plain names, and that are plain JavaScript', () => {
    const served = new Set(ENGINE_FILES.map((file) => `./${file.name}`));
    const own = ENGINE_FILES.filter((file) => file.name.endsWith('.js') && !file.name.startsWith('vision_'));
    expect(own.length).toBeGreaterThan(4);
    const wrong = own.flatMap((file) => {
      const code = new TextDecoder().decode(file.bytes()).replace(/\/\*[\s\S]*?\*\//g, '');
      const imported = [...code.matchAll(/^\s*(?:import|export)\b[^;]*?\bfrom '([^']+)'/gm)].map((match) => match[1]);
      return [
        ...imported.filter((name) => !served.has(name)),
        ...(/\b(interface|type) \w+ =?/.test(code) ? [`types in ${file.name}`] : []),
      ];
    });
    expect(wrong).toEqual([]);
  });
});
