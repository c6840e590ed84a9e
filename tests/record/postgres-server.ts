/**
 * A PostgreSQL of its own for a test: Debian's server on a socket in a temporary folder, no network. Null where it is not installed,
 * or may not be run (it refuses to be root, and root needs `runuser` to be somebody else).
 */
import { execFileSync, type SpawnSyncReturns, spawnSync } from 'node:child_process';
import { chmodSync, chownSync, existsSync, globSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export type PostgresServer = Readonly<{
  url: string;
  restart: () => void;
  stop: () => void;
}>;

const BIN = globSync('/usr/lib/postgresql/*/bin').sort().at(-1) ?? null;
const ROOT = process.getuid?.() === 0;
/** Somebody who is not root. */
const WHO = ['postgres', 'nobody'].find((name) => spawnSync('id', ['-u', name]).status === 0) ?? null;

export const hasPostgres = BIN !== null && (!ROOT || (WHO !== null && existsSync('/usr/sbin/runuser')));
export const WITHOUT_POSTGRES = 'needs PostgreSQL (the Debian package postgresql)';

export function startPostgres(): PostgresServer {
  if (!BIN) throw new Error(WITHOUT_POSTGRES);
  const dir = mkdtempSync(join(tmpdir(), 'ebbline-pg-'));
  const run = (program: string, ...words: string[]): SpawnSyncReturns<string> => {
    const [command, args] = ROOT ? ['/usr/sbin/runuser', ['-u', WHO!, '--', join(BIN, program), ...words]] : [join(BIN, program), words];
    const ran = spawnSync(command, args, { cwd: dir, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });
    if (ran.status !== 0) throw new Error(`${program} ended with ${ran.status}: ${ran.stderr}${ran.stdout}`);
    return ran;
  };
  if (ROOT) {
    const id = (flag: string): number => Number(execFileSync('id', [flag, WHO!], { encoding: 'utf8' }));
    chownSync(dir, id('-u'), id('-g'));
  }
  chmodSync(dir, 0o700);
  const data = join(dir, 'data');
  run('initdb', '--pgdata', data, '--auth', 'trust', '--username', 'ebbline', '--encoding', 'UTF8', '--no-locale', '--no-sync');
  const control = (...words: string[]) =>
    run(
      'pg_ctl',
      '--pgdata',
      data,
      '--wait',
      '--silent',
      '--log',
      join(dir, 'log'),
      '--options',
      `-c listen_addresses='' -k ${dir} -F`,
      ...words,
    );
  control('start');
  return {
    url: `postgres://ebbline@/postgres?host=${encodeURIComponent(dir)}`,
    restart: () => void control('restart', '--mode', 'immediate'),
    stop: () => {
      run('pg_ctl', '--pgdata', data, '--wait', '--silent', '--mode', 'immediate', 'stop');
      rmSync(dir, { recursive: true, force: true });
    },
  };
}
