/** `ebbline audit`: who looked at, changed, took away or deleted what; and whether the list is whole. */
import { existsSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { readHead } from '#lib/record/audit-head.ts';
import type { AuditTrail } from '#lib/record/case-types.ts';
import { defaultDataDir } from '#lib/record/data-dir.ts';
import { openRecord } from '#lib/record/open.ts';
import { type AuditLine, auditLineSchema } from '#shared/case.ts';
import { readArguments } from './arguments.ts';
import { type Command, EXIT, type ExitCode, UsageError, type World } from './command.ts';
import { PASSPHRASE_HELP, unlocked } from './unlock.ts';

const help = `ebbline audit - who looked at, changed, took away or deleted what, and when

  ebbline audit verify [--head N:HASH]   walks the chain of hashes; ends with 0 when it is whole, with 1 and the line's number when not
  ebbline audit list [--case ID] [--limit N] [--json]

Each line carries a hash over itself and the line before, so that none can be changed, taken out or put in unnoticed. Missing last lines
show by the file audit-head beside the record. Against somebody who can write all files of this machine only a head that was noted down
elsewhere helps: "verify" prints it, and --head compares with it later.

  --head N:HASH        a head that was printed earlier
  --case ID            lines of one case
  --limit N            the newest so many; 50 as usual
  --json               one JSON object a line, as the chain has it
  --data DIR           the record; as usual EBBLINE_HOME or ~/.local/share/ebbline
${PASSPHRASE_HELP}

Examples
  ebbline audit verify
  ebbline audit list --limit 200 --json > audit.jsonl
`;

export const audit: Command = {
  name: 'audit',
  summary: 'who looked at, changed or deleted what; and whether that list is whole',
  help,
  run: async (args, world) => {
    const given = readArguments(args, { data: 'one', head: 'one', case: 'one', limit: 'one', json: 'none', 'passphrase-file': 'one' });
    const [word, stray] = given.words;
    if (word !== 'verify' && word !== 'list') throw new UsageError('Say "verify" or "list" after "audit".');
    if (stray !== undefined) throw new UsageError(`"${stray}" belongs to no option.`);
    const strange = (word === 'verify' ? ['case', 'limit', 'json'] : ['head']).find((option) => given.has(option));
    if (strange) throw new UsageError(`--${strange} does not belong to "audit ${word}".`);
    const head = given.has('head') ? readHead(given.one('head')!) : undefined;
    if (head === null) throw new UsageError('--head is a number, a colon and 64 hexadecimal digits, as "audit verify" prints it.');
    const limit = Number(given.one('limit') ?? 50);
    if (!Number.isInteger(limit) || limit < 1) throw new UsageError(`--limit "${given.one('limit')}" is no number of lines.`);
    const caseId = given.one('case');
    if (caseId !== undefined && !auditLineSchema.shape.case.safeParse(caseId).success)
      throw new UsageError(`"${caseId}" is no id of a case: 32 hexadecimal digits.`);
    const dataDir = given.has('data') ? resolve(given.one('data')!) : defaultDataDir(world.env);
    if (!existsSync(join(dataDir, 'record.sqlite'))) throw new UsageError(`There is no record in ${dataDir}.`);

    const record = openRecord({ dataDir, ...(await unlocked(dataDir, given.one('passphrase-file'), world)) });
    try {
      if (word === 'verify') return await verify(record.audit, head, world);
      for (const line of await newest(record.audit, caseId, limit))
        world.out(`${given.has('json') ? JSON.stringify(line) : words(line)}\n`);
      return EXIT.done;
    } finally {
      await record.close();
    }
  },
};

async function verify(trail: AuditTrail, head: { n: number; hash: string } | undefined, world: World): Promise<ExitCode> {
  const checked = await trail.verify(head);
  if (!checked.ok) {
    world.err(`The audit is broken at line ${checked.firstBad}. ${checked.why}\n`);
    return EXIT.ownError;
  }
  world.out(`The audit is whole: ${checked.lines} ${checked.lines === 1 ? 'line' : 'lines'}.\n`);
  if (checked.lines > 0) world.out(`Its head is ${checked.lines}:${checked.head}\n`);
  if (checked.lines > 0 && checked.outside === 'none')
    world.err('There is no file audit-head beside the record, so missing last lines would not show. It is written with the next line.\n');
  return EXIT.done;
}

/** Oldest of them first, as one reads. */
async function newest(trail: AuditTrail, caseId: string | undefined, limit: number): Promise<AuditLine[]> {
  const lines: AuditLine[] = [];
  while (lines.length < limit) {
    const before = lines.at(-1)?.n;
    const page = await trail.lines({
      limit: limit - lines.length,
      ...(caseId === undefined ? {} : { case: caseId }),
      ...(before === undefined ? {} : { before }),
    });
    if (page.length === 0) break;
    lines.push(...page);
  }
  return lines.reverse();
}

/** Control characters of a name given when signing in would reach the terminal otherwise. */
const plain = (text: string): string => text.replace(/\p{C}/gu, '?');

function words({ n, at, actor, action, what, id, facts }: AuditLine): string {
  const told = Object.entries(facts).map(([name, value]) => `${name} ${value}`);
  return plain([String(n).padStart(6), at, actor, action, what, id, ...(told.length > 0 ? [`(${told.join(', ')})`] : [])].join('  '));
}
