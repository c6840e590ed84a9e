/** The audit's chain: whatever is edited, taken out, put in or cut off behind the program's back is found, and where. */
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { readFile, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { DatabaseSync } from 'node:sqlite';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BEFORE_FIRST, lineHash, lineOf, whyNotNext } from '#lib/record/audit-chain.ts';
import { keepHead, keptHead, readHead } from '#lib/record/audit-head.ts';
import type { Row } from '#lib/record/database.ts';
import { openRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';
import { AUDIT_ACTIONS, type AuditLine } from '#shared/case.ts';
import { withDir } from './sample-jobs.ts';

const entry = fc.record({
  actor: fc.string({ minLength: 1, maxLength: 12, unit: 'binary' }),
  action: fc.constantFrom(...AUDIT_ACTIONS),
  what: fc.constantFrom('case', 'photo', 'visit'),
  id: fc.string({ maxLength: 8 }),
  case: fc.option(fc.constantFrom('a'.repeat(32), 'b'.repeat(32))),
  facts: fc.dictionary(fc.string({ maxLength: 4 }), fc.oneof(fc.string({ maxLength: 5 }), fc.integer(), fc.boolean(), fc.constant(null)), {
    maxKeys: 3,
  }),
});
type Entry = Omit<AuditLine, 'n' | 'at' | 'hash'>;

/** Rows as the table has them. */
function chainOf(entries: readonly Entry[]): Row[] {
  let before = BEFORE_FIRST;
  return entries.map((one, index) => {
    const line = { n: index + 1, at: '2026-01-01T00:00:00.000Z', ...one };
    before = lineHash(before, line);
    const { case: caseId, facts, ...rest } = line;
    return { ...rest, case_id: caseId, facts: canonical(facts), hash: before };
  });
}

/** Written anew for the test: keys in code-unit order, no spaces. */
const canonical = (facts: AuditLine['facts']): string =>
  `{${Object.keys(facts)
    .sort()
    .map((key) => `${JSON.stringify(key)}:${JSON.stringify(facts[key])}`)
    .join(',')}}`;

/** The number of the first line that does not follow; null when all do. */
function firstBad(rows: readonly Row[]): number | null {
  let before = BEFORE_FIRST;
  for (const [index, row] of rows.entries()) {
    if (whyNotNext(row, index + 1, before) !== null) return index + 1;
    before = String(row.hash);
  }
  return null;
}

const chains = fc.array(entry, { minLength: 1, maxLength: 8 }).map((entries) => chainOf(entries as Entry[]));

describe('law: the chain', () => {
  it('is whole as it was written, and its lines come back', () => {
    fc.assert(
      fc.property(fc.array(entry, { maxLength: 8 }), (entries) => {
        const rows = chainOf(entries as Entry[]);
        expect(firstBad(rows)).toBeNull();
        expect(rows.map(lineOf).map(({ n: _n, at: _at, hash: _hash, ...rest }) => rest)).toEqual(
          entries.map((one) => ({ ...one, facts: { ...one.facts } })),
        );
      }),
    );
  });
  it('shows any edited character of any column of any line, at that line', () => {
    const column = fc.constantFrom('at', 'actor', 'action', 'what', 'id', 'case_id', 'facts', 'hash');
    fc.assert(
      fc.property(chains, fc.nat(), column, fc.nat(), fc.string({ minLength: 1, maxLength: 1 }), (rows, line, name, at, letter) => {
        const index = line % rows.length;
        const old = rows[index]![name];
        const text = old === null || old === undefined ? '' : String(old);
        const place = at % (text.length + 1);
        const edited = text.slice(0, place) + letter + text.slice(place + 1);
        fc.pre(edited !== old);
        const changed = rows.map((row, n) => (n === index ? { ...row, [name]: edited } : row));
        expect(firstBad(changed)).toBe(index + 1);
      }),
      { numRuns: 600 },
    );
  });
  it('shows a line that was taken out, put in twice or moved', () => {
    fc.assert(
      fc.property(chains, fc.nat(), fc.nat(), (rows, a, b) => {
        const [from, to] = [a % rows.length, b % rows.length];
        if (from < rows.length - 1) expect(firstBad(rows.toSpliced(from, 1))).toBe(from + 1);
        expect(firstBad(rows.toSpliced(to, 0, rows[from]!))).not.toBeNull();
        if (from !== to) expect(firstBad(rows.toSpliced(from, 1).toSpliced(to, 0, rows[from]!))).toBe(Math.min(from, to) + 1);
      }),
    );
  });
  it('shows facts that say the same in another spelling', () => {
    const [row] = chainOf([{ actor: 'Ada', action: 'view', what: 'case', id: 'x', case: null, facts: { a: 1, b: true } }]);
    for (const facts of ['{"b":true,"a":1}', '{"a":1, "b":true}', '{"a":1.0,"b":true}', '{"a":1,"a":1,"b":true}', '{', ''])
      expect(firstBad([{ ...row!, facts }])).toBe(1);
  });
});

describe('oracle: sha256sum of GNU coreutils', () => {
  it('hashes sixty-four zeros and the canonical line', () => {
    const line = {
      n: 1,
      at: '2026-01-02T03:04:05.678Z',
      actor: 'Ada "A"',
      action: 'delete' as const,
      what: 'case',
      id: 'x',
      case: null,
      facts: { b: 2, a: 'ü' },
    };
    const text = `${'0'.repeat(64)}{"action":"delete","actor":"Ada \\"A\\"","at":"2026-01-02T03:04:05.678Z","case":null,"facts":{"a":"ü","b":2},"id":"x","n":1,"what":"case"}`;
    const outside = execFileSync('sha256sum', { input: text, encoding: 'utf8' }).slice(0, 64);
    expect(lineHash(BEFORE_FIRST, line)).toBe(outside);
  });
});

/** A record with `lines` lines, closed again, and its table and head in the hands of somebody else. */
async function tampered(
  lines: number,
  tamper: (db: DatabaseSync, dataDir: string) => void | Promise<void>,
  check: (record: RecordStore) => Promise<void>,
): Promise<void> {
  await withDir(async (dataDir) => {
    const first = openRecord({ dataDir });
    for (let i = 1; i <= lines; i++)
      await first.casesAs('Ada').note({ action: 'view', what: 'page', id: String(i), case: null, facts: { i } });
    await first.close();
    const db = new DatabaseSync(join(dataDir, 'record.sqlite'));
    db.exec('DROP TRIGGER audit_stands; DROP TRIGGER audit_stays;');
    await tamper(db, dataDir);
    db.close();
    const again = openRecord({ dataDir });
    try {
      await check(again);
    } finally {
      await again.close();
    }
  });
}

describe('law: the trail', () => {
  it('reads newest first, by case and page by page', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      const book = record.casesAs('Ada');
      for (let i = 1; i <= 7; i++)
        await book.note({ action: 'view', what: 'page', id: String(i), case: i % 2 ? 'a'.repeat(32) : null, facts: {} });
      expect((await record.audit.lines()).map(({ n }) => n)).toEqual([7, 6, 5, 4, 3, 2, 1]);
      expect((await record.audit.lines({ before: 5, limit: 2 })).map(({ n }) => n)).toEqual([4, 3]);
      expect((await record.audit.lines({ case: 'a'.repeat(32), before: 7 })).map(({ n }) => n)).toEqual([5, 3, 1]);
      await record.close();
    }));
  it('is whole when empty, and says its head', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      expect(await record.audit.verify()).toEqual({ ok: true, lines: 0, head: BEFORE_FIRST, outside: 'none' });
      await record.casesAs('Ada').note({ action: 'view', what: 'page', id: '1', case: null, facts: {} });
      const { head } = await record.audit.verify();
      expect(await record.audit.verify({ n: 1, hash: head })).toMatchObject({ ok: true, outside: 'agrees' });
      await record.close();
    }));
  it('cannot be changed or shortened by a slip: the table itself refuses', () =>
    withDir(async (dataDir) => {
      const record = openRecord({ dataDir });
      await record.casesAs('Ada').note({ action: 'view', what: 'page', id: '1', case: null, facts: {} });
      const db = new DatabaseSync(join(dataDir, 'record.sqlite'));
      expect(() => db.exec(`UPDATE audit SET actor = 'Bo'`)).toThrow(/never changed/);
      expect(() => db.exec('DELETE FROM audit')).toThrow(/never taken away/);
      db.close();
      await record.close();
    }));
});

describe('refusal: the trail', () => {
  it('finds an edited line by its number', () =>
    tampered(
      5,
      (db) => db.exec(`UPDATE audit SET actor = 'Bo' WHERE n = 3`),
      async (record) => expect(await record.audit.verify()).toMatchObject({ ok: false, firstBad: 3, lines: 2 }),
    ));
  it('finds a line taken out, and one put before the first', async () => {
    await tampered(
      5,
      (db) => db.exec('DELETE FROM audit WHERE n = 2'),
      async (record) =>
        expect(await record.audit.verify()).toMatchObject({ ok: false, firstBad: 2, why: expect.stringContaining('missing') }),
    );
    await tampered(
      2,
      (db) => db.exec('INSERT INTO audit SELECT 0, at, actor, action, what, id, case_id, facts, hash FROM audit WHERE n = 1'),
      async (record) => expect(await record.audit.verify()).toMatchObject({ ok: false, firstBad: 1 }),
    );
  });
  it('finds a tail that was cut off, by the head outside', () =>
    tampered(
      5,
      (db) => db.exec('DELETE FROM audit WHERE n > 3'),
      async (record) => expect(await record.audit.verify()).toMatchObject({ ok: false, firstBad: 4, lines: 3 }),
    ));
  it('finds a tail that was cut off with its head, by a head noted down', () =>
    tampered(
      5,
      async (db, dataDir) => {
        await writeFile(join(dataDir, 'noted'), await readFile(join(dataDir, 'audit-head')));
        db.exec('DELETE FROM audit WHERE n > 3');
        await rm(join(dataDir, 'audit-head'));
      },
      async (record) => {
        expect(await record.audit.verify()).toMatchObject({ ok: true, lines: 3, outside: 'none' });
        expect(await record.audit.verify({ n: 5, hash: '0'.repeat(64) })).toMatchObject({ ok: false, firstBad: 4 });
      },
    ));
  it('finds a chain that was written anew from its beginning', () =>
    tampered(
      3,
      (db) => {
        let before = BEFORE_FIRST;
        for (const row of db.prepare('SELECT * FROM audit ORDER BY n').all() as Row[]) {
          before = lineHash(before, { ...lineOf(row), actor: 'Bo' });
          db.prepare('UPDATE audit SET actor = ?, hash = ? WHERE n = ?').run('Bo', before, row.n!);
        }
      },
      async (record) =>
        expect(await record.audit.verify()).toMatchObject({ ok: false, firstBad: 3, why: expect.stringContaining('written anew') }),
    ));
  it('says when the head outside cannot be read', () =>
    tampered(
      1,
      (_, dataDir) => writeFile(join(dataDir, 'audit-head'), 'x'),
      async (record) => expect(await record.audit.verify()).toMatchObject({ ok: false }),
    ));
});

describe('law: the head outside', () => {
  it('is read in one form only, and never goes back', () =>
    withDir(async (dataDir) => {
      const hash = createHash('sha256').update('x').digest('hex');
      expect(keptHead(dataDir)).toBe('missing');
      keepHead(dataDir, { n: 12, hash });
      keepHead(dataDir, { n: 11, hash: '0'.repeat(64) });
      expect(keptHead(dataDir)).toEqual({ n: 12, hash });
      for (const text of ['', '12', `x:${hash}`, `12:${hash.slice(1)}`, `12:${hash.toUpperCase()}`, `-1:${hash}`])
        expect(readHead(text)).toBeNull();
    }));
});
