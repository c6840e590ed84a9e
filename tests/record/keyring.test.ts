/** The key of a record: made once, found by every process, exchanged without losing anything, and never made where something is sealed. */

import { execFile } from 'node:child_process';
import { createHash } from 'node:crypto';
import { chmod, cp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { describe, expect, it } from 'vitest';
import { openRecord } from '#lib/record/open.ts';
import { protectionOf } from '#lib/record/open-vault.ts';
import { setKeyFile, setPassphrase, unlockRecord } from '#lib/record/unlock.ts';
import { VaultError } from '#lib/record/vault.ts';
import { bytesOf, withDir } from './sample-jobs.ts';

const PASSPHRASE = 'four words of nobody';
const OTHER = 'five other words of nobody';

/** A record with one photograph; its address. */
async function filled(dataDir: string): Promise<string> {
  const record = openRecord({ dataDir });
  const added = await record.addPhoto(bytesOf('a face'), 'Jane Doe.jpg');
  await record.close();
  if (!added.ok) throw new Error(added.detail);
  return added.value.sha256;
}

async function readBack(dataDir: string, sha256: string, given: Parameters<typeof openRecord>[0] = {}): Promise<string> {
  const record = openRecord({ dataDir, ...given });
  try {
    expect((await record.photo(sha256))?.name).toBe('Jane Doe.jpg');
    return new TextDecoder().decode((await record.photoBytes(sha256))!);
  } finally {
    await record.close();
  }
}

const faultOf = (work: () => unknown): string => {
  try {
    work();
    return 'opened';
  } catch (error) {
    if (!(error instanceof VaultError)) throw error;
    expect(error.message).toMatch(/^(The|That|A|Other|keyring\.json) .*[.)]$/);
    return error.code;
  }
};

/** The digest of every file, so that "nothing was touched" can be held to. */
async function contentOf(dataDir: string): Promise<Record<string, string>> {
  const entries = (await readdir(dataDir, { recursive: true, withFileTypes: true })).filter((entry) => entry.isFile());
  const files = await Promise.all(
    entries
      // SQLite's own log comes and goes with each opening.
      .filter((entry) => !/-(wal|shm)$/.test(entry.name))
      .map(async (entry) => {
        const path = join(entry.parentPath, entry.name);
        return [
          path.slice(dataDir.length),
          createHash('sha256')
            .update(await readFile(path))
            .digest('hex'),
        ] as const;
      }),
  );
  return Object.fromEntries(files.sort(([a], [b]) => (a < b ? -1 : 1)));
}

describe('law: the key file', () => {
  it('is made with the record, for its owner alone, and opens it in every process', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      expect(protectionOf(dataDir)).toBe('key-file');
      expect((await stat(join(dataDir, 'key'))).mode & 0o777).toBe(0o600);
      expect((await stat(join(dataDir, 'keyring.json'))).mode & 0o777).toBe(0o600);
      expect(await readBack(dataDir, sha256)).toBe('a face');
    }));
  it('leaves neither a name nor a photograph to be read on the disk', () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      for (const path of Object.keys(await contentOf(dataDir))) {
        const text = (await readFile(join(dataDir, path))).toString('latin1');
        expect([path, text.includes('Jane'), text.includes('a face')]).toEqual([path, false, false]);
      }
    }));
  it('is made once, though four processes open a new record at once', () =>
    withDir(async (dataDir) => {
      const script = `
        import { unlockRecord } from '#lib/record/unlock.ts';
        process.stdout.write(Buffer.from(unlockRecord(process.argv[1]).key).toString('hex'));`;
      const run = () => promisify(execFile)(process.execPath, ['--input-type=module', '--eval', script, dataDir]);
      const keys = await Promise.all([run(), run(), run(), run()]);
      expect(new Set(keys.map(({ stdout }) => stdout)).size).toBe(1);
      expect(keys[0]!.stdout).toMatch(/^[0-9a-f]{64}$/);
    }));
  it('is closed again when others could read it, and the user is told', () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      await chmod(join(dataDir, 'key'), 0o644);
      const record = openRecord({ dataDir });
      expect(record.notes).toHaveLength(1);
      expect(record.notes[0]).toMatch(/closed again/);
      await record.close();
      expect((await stat(join(dataDir, 'key'))).mode & 0o777).toBe(0o600);
      const again = openRecord({ dataDir });
      expect(again.notes).toEqual([]);
      await again.close();
    }));
});

describe('law: the passphrase', () => {
  it('takes the place of the key file, is changed, and goes again; all that is kept still opens', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      const before = unlockRecord(dataDir).key;
      setPassphrase(dataDir, {}, PASSPHRASE);
      expect(protectionOf(dataDir)).toBe('passphrase');
      expect(await readdir(dataDir)).not.toContain('key');
      expect(faultOf(() => openRecord({ dataDir }))).toBe('locked');
      expect(await readBack(dataDir, sha256, { passphrase: PASSPHRASE })).toBe('a face');

      setPassphrase(dataDir, { passphrase: PASSPHRASE }, OTHER);
      expect(faultOf(() => openRecord({ dataDir, passphrase: PASSPHRASE }))).toBe('wrong-passphrase');
      expect(await readBack(dataDir, sha256, { passphrase: OTHER })).toBe('a face');

      setKeyFile(dataDir, { passphrase: OTHER });
      expect(protectionOf(dataDir)).toBe('key-file');
      expect(await readBack(dataDir, sha256)).toBe('a face');
      expect(unlockRecord(dataDir).key).toEqual(before);
    }));
  it('is not needed by a process that was handed the key, also while it is exchanged', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      const { key } = unlockRecord(dataDir);
      const running = openRecord({ dataDir, key });
      setPassphrase(dataDir, { key }, PASSPHRASE);
      expect(new TextDecoder().decode((await running.photoBytes(sha256))!)).toBe('a face');
      expect(await readBack(dataDir, sha256, { key })).toBe('a face');
      await running.close();
    }));
  it('a stop between the new keyring and the removal of the key file leaves a key that opens nothing, and it goes', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      await cp(join(dataDir, 'key'), join(dataDir, 'kept'));
      setPassphrase(dataDir, {}, PASSPHRASE);
      await cp(join(dataDir, 'kept'), join(dataDir, 'key'));
      expect(faultOf(() => openRecord({ dataDir }))).toBe('locked');
      expect(await readBack(dataDir, sha256, { passphrase: PASSPHRASE })).toBe('a face');
      expect(await readdir(dataDir)).not.toContain('key');
    }));
  it('a stop between key file and keyring of a new record is made good', () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      const key = await readFile(join(dataDir, 'key'), 'utf8');
      for (const name of ['record.sqlite', 'record.sqlite-wal', 'record.sqlite-shm', 'keyring.json', 'photos'])
        await rm(join(dataDir, name), { recursive: true, force: true });
      const sha256 = await filled(dataDir);
      expect(await readFile(join(dataDir, 'key'), 'utf8')).toBe(key);
      expect(await readBack(dataDir, sha256)).toBe('a face');
    }));
});

describe('refusal', () => {
  /** Spoils a record, and holds that opening it fails with that code and changes no file. */
  const spoilt = (code: string, spoil: (dataDir: string) => Promise<void>, given: Parameters<typeof openRecord>[0] = {}) =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      await spoil(dataDir);
      const before = await contentOf(dataDir);
      expect(faultOf(() => openRecord({ dataDir, ...given }))).toBe(code);
      expect(await contentOf(dataDir)).toEqual(before);
    });
  const edit = async (path: string, change: (text: string) => string): Promise<void> =>
    writeFile(path, change(await readFile(path, 'utf8')));

  it('of a wrong passphrase', () =>
    spoilt('wrong-passphrase', async (dataDir) => setPassphrase(dataDir, {}, PASSPHRASE), { passphrase: OTHER }));
  it('of a passphrase that is too short, or of too few characters; the old lock stays', () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      for (const weak of ['short', 'elevenchars', 'aaaaaaaaaaaaaaaa', 'x'.repeat(2000)])
        expect(faultOf(() => setPassphrase(dataDir, {}, weak))).toBe('weak-passphrase');
      expect(protectionOf(dataDir)).toBe('key-file');
    }));
  it('of a missing key file', () => spoilt('no-key-file', (dataDir) => rm(join(dataDir, 'key'))));
  it('of a missing keyring: no new key is made', () => spoilt('no-keyring', (dataDir) => rm(join(dataDir, 'keyring.json'))));
  it('of a missing keyring and missing tables beside sealed photographs', () =>
    withDir(async (dataDir) => {
      await filled(dataDir);
      for (const name of ['record.sqlite', 'keyring.json', 'key']) await rm(join(dataDir, name));
      expect(faultOf(() => openRecord({ dataDir }))).toBe('no-keyring');
      expect(await readdir(dataDir)).not.toContain('key');
    }));
  it('of a key file of another record', () =>
    spoilt('keyring-damaged', (dataDir) =>
      edit(join(dataDir, 'key'), (text) => text.replace(/^./, (digit) => (digit === '0' ? '1' : '0'))),
    ));
  it('of a key file that is none', () =>
    spoilt('keyring-damaged', (dataDir) => writeFile(join(dataDir, 'key'), 'no key', { mode: 0o600 })));
  it('of a keyring that was changed, in its wrap or in what stands open', async () => {
    const flip = (text: string) =>
      text.replace(/"wrapped": "(.{30})(.)/, (_, head, one) => `"wrapped": "${head}${one === 'A' ? 'B' : 'A'}`);
    await spoilt('keyring-damaged', (dataDir) => edit(join(dataDir, 'keyring.json'), flip));
    await spoilt('keyring-damaged', (dataDir) =>
      edit(join(dataDir, 'keyring.json'), (text) => text.replace(/"id": "(.)/, (_, one) => `"id": "${one === '0' ? '1' : '0'}`)),
    );
    await spoilt('keyring-damaged', (dataDir) => writeFile(join(dataDir, 'keyring.json'), '{'));
  });
  it('of argon2id parameters below the minimum, or beyond any machine', async () => {
    for (const memory of [8, 4_000_000_000])
      await spoilt(
        'keyring-damaged',
        async (dataDir) => {
          setPassphrase(dataDir, {}, PASSPHRASE);
          await edit(join(dataDir, 'keyring.json'), (text) => text.replace(/"memoryKiB": \d+/, `"memoryKiB": ${memory}`));
        },
        { passphrase: PASSPHRASE },
      );
  });
  it('of a keyring of a later version', () =>
    spoilt('newer', (dataDir) => edit(join(dataDir, 'keyring.json'), (text) => text.replace('"format": 1', '"format": 2'))));
  it('of key and keyring of another record', () =>
    withDir(async (dir) => {
      const [one, other] = [join(dir, 'one'), join(dir, 'other')];
      await filled(one);
      await filled(other);
      for (const name of ['key', 'keyring.json']) await cp(join(other, name), join(one, name));
      expect(faultOf(() => openRecord({ dataDir: one }))).toBe('other-store');
      expect(faultOf(() => openRecord({ dataDir: other, key: new Uint8Array(32) }))).toBe('other-store');
    }));
});

describe('refusal: damage of one photograph', () => {
  const flipAt = async (path: string, at: number): Promise<void> => {
    const bytes = await readFile(path);
    bytes[at]! ^= 0x10;
    await writeFile(path, bytes);
  };
  const placeOf = (dataDir: string, sha256: string) => join(dataDir, 'photos', sha256.slice(0, 2), sha256);

  it('has its own code; the others go on; adding it again makes it whole', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      const record = openRecord({ dataDir });
      const good = await record.addPhoto(bytesOf('another face'), 'b.jpg');
      await record.putPreview(sha256, bytesOf('small'));
      for (const at of [0, 8, 20, 30]) {
        await flipAt(placeOf(dataDir, sha256), at);
        await expect(record.photoBytes(sha256)).rejects.toMatchObject({
          code: 'damaged',
          message: expect.stringContaining(sha256.slice(0, 12)),
        });
        await flipAt(placeOf(dataDir, sha256), at);
      }
      await flipAt(placeOf(dataDir, sha256), 25);
      await flipAt(`${placeOf(dataDir, sha256)}.preview.jpg`, 25);
      await expect(record.preview(sha256)).rejects.toMatchObject({ code: 'damaged' });
      expect(good.ok && (await record.photoBytes(good.value.sha256))?.length).toBe(12);
      await record.addPhoto(bytesOf('a face'), 'again.jpg');
      expect(new TextDecoder().decode((await record.photoBytes(sha256))!)).toBe('a face');
      await record.close();
    }));
  it('is seen when one whole photograph stands in the place of another', () =>
    withDir(async (dataDir) => {
      const sha256 = await filled(dataDir);
      const record = openRecord({ dataDir });
      const other = await record.addPhoto(bytesOf('another face'), 'b.jpg');
      await cp(placeOf(dataDir, other.ok ? other.value.sha256 : ''), placeOf(dataDir, sha256));
      await expect(record.photoBytes(sha256)).rejects.toMatchObject({ code: 'damaged' });
      await record.close();
    }));
});

describe('law: memory', () => {
  // 200 MB of zeros: read whole once, plus pieces. Twice would be 400 MB.
  it('holds a large photograph once while it is read, and not at all while it is added', { timeout: 60_000 }, () =>
    withDir(async (dataDir) => {
      const script = `
        import { openRecord } from '#lib/record/open.ts';
        const record = openRecord({ dataDir: process.argv[1] });
        const piece = new Uint8Array(1 << 20);
        let peak = 0;
        const start = process.memoryUsage.rss();
        const watch = () => { peak = Math.max(peak, process.memoryUsage.rss() - start); };
        async function* chunks() { for (let i = 0; i < 200; i++) { yield piece; watch(); } }
        const added = await record.addPhotoStream(chunks(), 'large.tif');
        const adding = peak;
        const timer = setInterval(watch, 5);
        const bytes = await record.photoBytes(added.value.sha256);
        clearInterval(timer);
        watch();
        console.log(JSON.stringify({ adding: adding / 1e6, reading: peak / 1e6, length: bytes.length }));`;
      const { stdout } = await promisify(execFile)(process.execPath, ['--input-type=module', '--eval', script, dataDir]);
      const { adding, reading, length } = JSON.parse(stdout);
      if (process.env.EBBLINE_SHOW) console.log(stdout);
      expect(length).toBe(200 * (1 << 20));
      expect(adding).toBeLessThan(130);
      expect(reading).toBeLessThan(340);
    }),
  );
});
