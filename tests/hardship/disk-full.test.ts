/**
 * The disk fills up while photographs are added and a result is written: a sentence, nothing half-written, and all goes on when there is
 * room again. A small file system in memory where the test may mount one; else a limit on the size of a file.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, rmdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { describe, expect, it } from 'vitest';
import { backupRecord } from '#lib/record/backup.ts';
import { openRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { compareRequest, withDir } from '#tests/record/sample-jobs.ts';
import { fakeMeasuring } from '#tests/workers/fake-measuring.ts';
import { runJob } from '#workers/run-job.ts';
import { flawsOf } from './whole.ts';

const faceOf = (i: number, length = 200_000): Uint8Array => {
  const bytes = new Uint8Array(length);
  new DataView(bytes.buffer).setUint32(0, i);
  return bytes;
};

const mount = (dir: string, megabytes: number): boolean =>
  spawnSync('mount', ['-t', 'tmpfs', '-o', `size=${megabytes}m`, 'tmpfs', dir]).status === 0;

/** Only the system's own user may, and not in every container. */
const mayMount = ((): boolean => {
  if (process.platform !== 'linux' || process.getuid?.() !== 0) return false;
  const dir = mkdtempSync(join(tmpdir(), 'ebbline-mount-'));
  const may = mount(dir, 1);
  if (may) execFileSync('umount', ['-l', dir]);
  rmdirSync(dir);
  return may;
})();

const withSmallDisk = (megabytes: number, work: (disk: string) => Promise<void>): Promise<void> =>
  withDir(async (dir) => {
    const disk = join(dir, 'disk');
    mkdirSync(disk);
    expect(mount(disk, megabytes)).toBe(true);
    try {
      await work(disk);
    } finally {
      execFileSync('umount', ['-l', disk]);
    }
  });

/** Adds photographs until one is refused; how many were taken. */
async function fill(record: RecordStore): Promise<number> {
  for (let i = 0; ; i++) {
    const added = await record.addPhoto(faceOf(i), `face-${i}.jpg`);
    if (added.ok) continue;
    expect(added).toMatchObject({ why: 'no-room', detail: expect.stringContaining(`face-${i}.jpg`) });
    return i;
  }
}

describe.skipIf(!mayMount)('refusal: a full disk (skipped where no file system may be mounted)', () => {
  it('while importing: what was taken stays, what was not leaves nothing, and there is room again later', () =>
    withSmallDisk(8, async (disk) => {
      const dataDir = join(disk, 'record');
      writeFileSync(join(disk, 'ballast'), new Uint8Array(2_000_000));
      const record = openRecord({ dataDir });
      const taken = await fill(record);
      expect(taken).toBeGreaterThan(5);
      expect(readdirSync(join(dataDir, 'photos')).filter((name) => name.startsWith('.'))).toEqual([]);
      rmSync(join(disk, 'ballast'));
      expect(await flawsOf(dataDir)).toEqual([]);
      expect(await record.addPhoto(faceOf(taken), 'again.jpg')).toMatchObject({ ok: true });
      await record.close();
    }));
  it('to the last byte, where a photograph fits and its row does not', () =>
    withSmallDisk(4, async (disk) => {
      const dataDir = join(disk, 'record');
      const record = openRecord({ dataDir });
      await fill(record);
      // Ever smaller ones, until not even a page of the log is left.
      let refused = 0;
      for (let length = 60_000, i = 1_000_000; length > 10 && refused < 40; i++) {
        const added = await record.addPhoto(faceOf(i, length), 'small.jpg');
        if (added.ok) continue;
        expect(added.why).toBe('no-room');
        refused++;
        length = Math.floor(length / 1.7);
      }
      expect(refused).toBeGreaterThan(5);
      const { jobs, photos } = { jobs: await record.jobs(), photos: readdirSync(join(dataDir, 'photos'), { recursive: true }).length };
      expect(jobs).toEqual([]);
      expect(photos).toBeGreaterThan(5);
      // Room for SQLite to open it and look.
      execFileSync('mount', ['-o', 'remount,size=12m', disk]);
      expect(await flawsOf(dataDir)).toEqual([]);
      await record.close();
    }));
  it('while a result is written: the job fails with a sentence and can be asked for again', () =>
    withSmallDisk(10, async (disk) => {
      const dataDir = join(disk, 'record');
      const record = openRecord({ dataDir });
      const [before, after] = [await record.addPhoto(faceOf(1), 'b.jpg'), await record.addPhoto(faceOf(2), 'a.jpg')];
      if (!before.ok || !after.ok) throw new Error('not taken');
      const request = compareRequest(before.value.sha256, after.value.sha256);
      const id = await record.enqueue(request);
      const job = (await record.claim('r'))!;
      const free = Number(execFileSync('df', ['--output=avail', '-B1', disk], { encoding: 'utf8' }).trim().split('\n')[1]);
      writeFileSync(join(disk, 'ballast'), new Uint8Array(free - 8_000));
      let untold = 0;
      const fail: RecordStore['fail'] = (...how) =>
        record.fail(...how).catch((error) => {
          untold++;
          throw error;
        });
      const place = { record: { ...record, fail }, runner: 'r', stopAsked: () => false };
      const run = runJob(place, job, fakeMeasuring);
      // Not even the failure can be written down until somebody makes room.
      while (untold < 2) await sleep(20);
      expect((await record.job(id))?.state).toBe('running');
      rmSync(join(disk, 'ballast'));
      await run;
      expect(await record.job(id)).toMatchObject({
        state: 'failed',
        fault: { code: 'no-room', message: expect.stringMatching(/no room left/) },
      });
      expect(readdirSync(join(dataDir, 'comparisons'))).toEqual([]);
      const again = await record.enqueue(request);
      await runJob(place, (await record.claim('r'))!, fakeMeasuring);
      expect((await record.job(again))?.state).toBe('done');
      expect(await flawsOf(dataDir)).toEqual([]);
      await record.close();
    }));
  it('while a backup is written: nothing is left of it', () =>
    withSmallDisk(4, async (disk) =>
      withDir(async (dir) => {
        const dataDir = join(dir, 'record');
        const record = openRecord({ dataDir });
        for (let i = 0; i < 30; i++) await record.addPhoto(faceOf(i), 'x.jpg');
        await record.close();
        const file = join(disk, 'a.tar');
        const outcome = await backupRecord(file, { dataDir, given: {}, passphrase: 'four words of nobody' });
        expect(outcome).toMatchObject({ ok: false, why: 'no-room' });
        expect(readdirSync(disk)).toEqual([]);
        expect(readdirSync(dataDir).filter((name) => name.startsWith('.'))).toEqual([]);
      }),
    ));
});

describe('refusal: files that may only have a certain size', () => {
  it('a photograph that is too large for the limit leaves nothing, and others go on', () =>
    withDir(async (dataDir) => {
      const script = `
        import { openRecord } from '#lib/record/open.ts';
        const record = openRecord({ dataDir: process.argv[1] });
        const small = await record.addPhoto(new Uint8Array(100_000).fill(1), 'small.jpg');
        const large = await record.addPhoto(new Uint8Array(3_000_000).fill(2), 'large.jpg');
        console.log(JSON.stringify([small.ok, large.ok, large.why, large.detail]));
        await record.close();`;
      const limited = spawnSync(
        'bash',
        // In blocks of 1024 bytes; the signal that would end the process is not wanted, the error is.
        ['-c', `trap '' XFSZ; ulimit -f 1500; exec "$0" --input-type=module --eval "$1" "$2"`, process.execPath, script, dataDir],
        { encoding: 'utf8', cwd: resolve(import.meta.dirname, '../..') },
      );
      expect(limited.stderr).toBe('');
      expect(JSON.parse(limited.stdout)).toEqual([true, false, 'no-room', expect.stringContaining('large.jpg')]);
      expect(await flawsOf(dataDir)).toEqual([]);
    }));
});
