/** Tables of a series: what stands in them, that CSV and Parquet say the same, that the dictionary fits, and that nothing leads back. */
import { createHash } from 'node:crypto';
import { parse } from 'csv-parse/sync';
import { parquetReadObjects } from 'hyparquet';
import { ByteWriter } from 'hyparquet-writer';
import { describe, expect, it } from 'vitest';
import type { z } from 'zod';
import type { AnsweredPair } from '#lib/series/answered-pair.ts';
import { dataPackage } from '#lib/series/data-package.ts';
import { deidentifier } from '#lib/series/deidentify.ts';
import { failureRowSchema, failureRows, leftOutRow } from '#lib/series/failure-rows.ts';
import { inputRowSchema, inputRows } from '#lib/series/input-rows.ts';
import { OTHER_VIEW, pairRow } from '#lib/series/pair-row.ts';
import { roCrate } from '#lib/series/ro-crate.ts';
import { FAILURES, INPUTS, PAIRS, RATINGS, RESULTS, type Table } from '#lib/series/table-fields.ts';
import { parquetTable } from '#lib/series/table-parquet.ts';
import { tableHead, tableLines } from '#lib/series/table-text.ts';
import { tidyRows } from '#lib/series/tidy-rows.ts';
import { METRICS } from '#shared/comparison.ts';
import { pairRowSchema, ratingRowSchema, tidyRowSchema } from '#shared/series.ts';
import { answerOf, pairOf } from './sample-series.ts';

function answered(
  subject: string,
  state: 'measured' | 'not-comparable' | 'failed' = 'measured',
  pair: Partial<AnsweredPair['pair']> = {},
): AnsweredPair {
  const asked = { ...pairOf(subject), ...pair };
  if (state === 'failed')
    return { pair: asked, state, inputs: [], fault: { code: 'no-face', message: 'No face was found in front.jpg.' }, comparison: null };
  const answer = answerOf(asked.pair, state);
  if (answer.state === 'failed') throw new Error('the sample has a comparison');
  return { pair: asked, state, inputs: answer.inputs, fault: null, comparison: answer.comparison };
}

const hash = (text: string): string => text.length.toString(16).padStart(64, '0');
const TABLES: readonly Readonly<{ table: Table<never>; schema: z.ZodObject }>[] = [
  { table: RESULTS as unknown as Table<never>, schema: tidyRowSchema },
  { table: PAIRS as unknown as Table<never>, schema: pairRowSchema },
  { table: RATINGS as unknown as Table<never>, schema: ratingRowSchema },
  { table: FAILURES as unknown as Table<never>, schema: failureRowSchema },
  { table: INPUTS as unknown as Table<never>, schema: inputRowSchema },
];

describe('law: rows', () => {
  it('a measured pair has a row for each metric read, with its unit, as the comparison says', () => {
    const one = answered('a');
    const rows = tidyRows(one);
    for (const row of rows) tidyRowSchema.parse(row);
    const { zones } = one.comparison!;
    const read = zones.flatMap(({ zone, metrics }) => Object.keys(metrics).map((metric) => `${zone} ${metric}`));
    expect(rows.filter(({ value }) => value !== null).map(({ zone, metric }) => `${zone} ${metric}`)).toEqual(read);
    expect(rows.filter(({ metric, unit }) => METRICS[metric].unit !== unit)).toEqual([]);
    expect(rows.find(({ zone, metric }) => zone === 'midface-left' && metric === 'volumeMl')).toMatchObject({
      value: -1.04,
      u: 0.19,
      finding: 'beyond-error',
      daysApart: 80,
      daysSinceTreatment: null,
    });
  });
  it('a zone that could not be assessed keeps a row for each deciding metric, without a value', () => {
    const missing = tidyRows(answered('a')).filter(({ assessable }) => !assessable);
    expect(missing.map(({ zone, metric, value, finding }) => [zone, metric, value, finding])).toEqual([
      ['jawline-right', 'volumeMl', null, 'not-assessable'],
      ['jawline-right', 'lightnessDelta', null, 'not-assessable'],
    ]);
  });
  it('every pair has a row, and every pair that was not measured a reason', () => {
    for (const state of ['measured', 'not-comparable', 'failed'] as const) {
      const one = answered('a', state);
      const row = pairRowSchema.parse(pairRow(one, hash));
      expect(row.state).toBe(state);
      expect(row.reasons).toEqual(state === 'measured' ? [] : [state === 'failed' ? 'no-face' : 'perspective']);
      expect(failureRows(one).map(({ code }) => code)).toEqual(row.reasons);
      for (const failure of failureRows(one)) failureRowSchema.parse(failure);
      for (const input of inputRows(one)) inputRowSchema.parse(input);
    }
  });
  it('days come from the manifest, else from the cameras, else nowhere', () => {
    const cameras = answered('a', 'measured', { beforeOn: null, afterOn: null, treatedOn: '2026-11-10' });
    expect(pairRow(cameras, hash)).toMatchObject({ daysApart: 80, daysSinceTreatment: 10 });
    const given = answered('a', 'measured', { beforeOn: '2026-09-01', afterOn: '2026-09-11' });
    expect(pairRow(given, hash)).toMatchObject({ daysApart: 10, daysSinceTreatment: null });
    expect(pairRow(answered('a', 'failed', { afterOn: null }), hash)).toMatchObject({ daysApart: null });
  });
  it('a photograph that shows another view than the manifest says is remarked on', () => {
    const said = (view: 'frontal' | 'lateral-left') =>
      pairRow(answered('a', 'measured', { before: [{ file: 'a/before.jpg', view }] }), hash).cautions;
    expect(said('frontal')).not.toContain(OTHER_VIEW);
    expect(said('lateral-left')).toContain(OTHER_VIEW);
  });
});

describe('law: tables', () => {
  it('the dictionary names every column of each row, in the schema\u2019s order, and no other', () => {
    for (const { table, schema } of TABLES) expect(table.fields.map(({ name }) => name)).toEqual(Object.keys(schema.shape));
    const vague = TABLES.flatMap(({ table }) => table.fields.filter(({ about }) => about.length < 8).map(({ name }) => name));
    expect(vague).toEqual([]);
  });

  it('CSV is read back by another reader to the same rows', () => {
    const rows = [...tidyRows(answered('a')), ...tidyRows(answered('b', 'measured', { group: 'x, "y"' }))];
    const lines = parse(tableHead(RESULTS) + tableLines(RESULTS, rows), { columns: true }) as Record<string, string>[];
    expect(lines).toHaveLength(rows.length);
    const wrong = rows.flatMap((row, k) =>
      RESULTS.fields.flatMap(({ name }) => {
        const cell = lines[k]![name]!;
        const value = row[name];
        const same = value === null ? cell === '' : typeof value === 'number' ? Number(cell) === value : cell === String(value);
        return same ? [] : [`${k} ${name}: ${cell} for ${value}`];
      }),
    );
    expect(wrong).toEqual([]);
  });

  it('Parquet is read back by its reader to the same rows, in groups, and the same rows give the same bytes', async () => {
    const rows = Array.from({ length: 45 }, (_, k) => tidyRows(answered(`s${k}`))).flat();
    const many = Array.from({ length: 12 }, () => rows).flat();
    const bytes = (): ArrayBuffer => {
      const writer = new ByteWriter();
      const table = parquetTable(RESULTS, writer);
      for (let at = 0; at < many.length; at += 77) table.add(many.slice(at, at + 77));
      table.end();
      return writer.getBuffer();
    };
    const file = bytes();
    const back = await parquetReadObjects({ file });
    expect(back).toHaveLength(many.length);
    expect(many.length).toBeGreaterThan(20_000);
    expect(back.slice(0, 60)).toEqual(many.slice(0, 60));
    expect(back.at(-1)).toEqual(many.at(-1));
    expect(Buffer.from(file).equals(Buffer.from(bytes()))).toBe(true);
  });

  it('Parquet without a row is a table, too', async () => {
    const writer = new ByteWriter();
    parquetTable(RESULTS, writer).end();
    expect(await parquetReadObjects({ file: writer.getBuffer() })).toEqual([]);
  });

  it('every cell fits the type and the values that its Table Schema states', () => {
    const all = [answered('a'), answered('b', 'not-comparable'), answered('c', 'failed'), answered('d', 'measured', { group: 'g' })];
    const rowsOf: Readonly<Record<string, readonly object[]>> = {
      results: all.flatMap(tidyRows),
      pairs: all.map((one) => pairRow(one, hash)),
      ratings: [{ pair: 'a/v1/v2', rater: 'R', zone: null, grade: -1 }],
      failures: [leftOutRow({ line: 3, code: 'cell', message: 'Wrong.' }), ...all.flatMap(failureRows)],
      inputs: all.flatMap(inputRows),
    };
    const written = TABLES.map(({ table }) => ({ table, file: `${table.name}.csv`, bytes: 1, sha256: 'f'.repeat(64) }));
    const described = dataPackage(written, '0') as {
      resources: {
        name: string;
        schema: { fields: { name: string; type: string; constraints: { required: boolean; enum?: string[] } }[]; primaryKey?: string[] };
      }[];
    };
    const pattern: Readonly<Record<string, RegExp>> = {
      integer: /^-?\d+$/,
      number: /^-?\d+(\.\d+)?(e[+-]?\d+)?$/,
      boolean: /^(true|false)$/,
      string: /./s,
    };
    const wrong = described.resources.flatMap(({ name, schema }) => {
      const { table } = TABLES.find((one) => one.table.name === name)!;
      const lines = parse(tableHead(table as unknown as Table<object>) + tableLines(table as unknown as Table<object>, rowsOf[name]!), {
        columns: true,
      }) as Record<string, string>[];
      expect(lines.length).toBeGreaterThan(0);
      const keys = lines.map((line) => schema.primaryKey?.map((key) => line[key]).join('|'));
      if (schema.primaryKey) expect(new Set(keys).size).toBe(lines.length);
      return lines.flatMap((line) =>
        schema.fields.flatMap(({ name: field, type, constraints }) => {
          const cell = line[field]!;
          const fits = cell === '' ? !constraints.required : pattern[type]!.test(cell) && (constraints.enum?.includes(cell) ?? true);
          return fits ? [] : [`${name}.${field}: ${cell}`];
        }),
      );
    });
    expect(wrong).toEqual([]);
  });
});

describe('oracle: RO-Crate Metadata Specification 1.1', () => {
  const crate = (published: string | null) =>
    roCrate({
      title: 'A series',
      about: 'About it.',
      published,
      tables: [{ file: 'results.csv', about: 'Rows', mediaType: 'text/csv', bytes: 12, sha256: 'a'.repeat(64) }],
      manifest: { name: 'manifest.csv', sha256: 'b'.repeat(64) },
      software: {
        version: '1',
        sourceSha256: 'c'.repeat(64),
        packagesSha256: 'd'.repeat(64),
        node: '24',
        models: { face: 'e'.repeat(64) },
      },
      parameters: { scale: '{"kind":"iris"}' },
    }) as { '@context': string; '@graph': Record<string, unknown>[] };

  it('has the descriptor and the root that the specification asks for', () => {
    const { '@context': context, '@graph': graph } = crate('2026-05-04');
    expect(context).toBe('https://w3id.org/ro/crate/1.1/context');
    const of = (id: string) => graph.find((one) => one['@id'] === id)!;
    expect(of('ro-crate-metadata.json')).toMatchObject({
      '@type': 'CreativeWork',
      about: { '@id': './' },
      conformsTo: { '@id': 'https://w3id.org/ro/crate/1.1' },
    });
    expect(of('./')).toMatchObject({
      '@type': 'Dataset',
      name: expect.any(String),
      description: expect.any(String),
      datePublished: '2026-05-04',
      license: expect.any(String),
    });
  });
  it('is flat: ids are unique, and every reference leads to an entity of the graph', () => {
    const { '@graph': graph } = crate(null);
    const ids = graph.map((one) => one['@id'] as string);
    expect(new Set(ids).size).toBe(ids.length);
    const references = (value: unknown, top: boolean): string[] => {
      if (Array.isArray(value)) return value.flatMap((one) => references(one, false));
      if (typeof value !== 'object' || value === null) return [];
      const id = (value as { '@id'?: string })['@id'];
      return [...(id && !top ? [id] : []), ...Object.values(value).flatMap((one) => references(one, false))];
    };
    const outside = /^https:\/\/w3id\.org\/ro\/crate\/1\.1$/;
    expect(graph.flatMap((one) => references(one, true)).filter((id) => !ids.includes(id) && !outside.test(id))).toEqual([]);
    expect(graph.filter((one) => !one['@id'] || !one['@type'])).toEqual([]);
  });
});

describe('law: without anything that leads back', () => {
  const keyed = (kind: string, words: string): string => createHash('sha256').update(`key ${kind} ${words}`).digest('hex');
  const code = deidentifier(keyed);
  const one = answered('Jane Doe', 'measured', {
    group: 'Dr. X',
    beforeVisit: 'first',
    afterVisit: 'second',
    pair: 'Jane Doe/first/second',
  });
  it('holds no label, name, day or plain hash of the original', () => {
    const text = [
      tableLines(RESULTS, tidyRows(one).map(code.tidy)),
      tableLines(PAIRS, [code.pair(pairRow(one, hash))]),
      tableLines(RATINGS, [code.rating({ pair: one.pair.pair, rater: 'Dr. Who', zone: null, grade: 1 })]),
      tableLines(FAILURES, failureRows(answered('Jane Doe', 'failed')).map(code.failure)),
    ].join('');
    const plain = [...one.inputs.map(({ sha256 }) => sha256), hash(JSON.stringify(one.comparison))];
    for (const word of ['Jane', 'Doe', 'Dr.', 'first', 'second', '.jpg', '2026-', 'Camera', 'No face', ...plain])
      expect(text).not.toContain(word);
  });
  it('joins as before: one subject has one code, and tables meet by the pair', () => {
    const row = code.pair(pairRow(one, hash));
    expect(pairRowSchema.parse(row)).toBeTruthy();
    expect(row.pair).toBe(`${row.subject}/${row.beforeVisit}/${row.afterVisit}`);
    expect(new Set(tidyRows(one).map((tidy) => code.tidy(tidy).pair))).toEqual(new Set([row.pair]));
    expect(code.rating({ pair: one.pair.pair, rater: 'R', zone: null, grade: 1 }).pair).toBe(row.pair);
    expect(row.daysApart).toBe(80);
    expect(deidentifier(keyed, { keepGroups: true }).pair(pairRow(one, hash)).group).toBe('Dr. X');
  });
});
