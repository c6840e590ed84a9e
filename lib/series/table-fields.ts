/**
 * The data dictionary: every column of every table of a series, with its type, unit and meaning. CSV, Parquet and the table schema are
 * all made from this.
 */
import { FINDINGS, METRIC_IDS, METRICS } from '#shared/comparison.ts';
import { PAIR_KINDS, PAIR_STATES, type PairRow, type RatingRow, type TidyRow } from '#shared/series.ts';
import type { FailureRow } from './failure-rows.ts';
import type { InputRow } from './input-rows.ts';

/** `list` is texts parted by semicolons. */
export type FieldType = 'string' | 'integer' | 'number' | 'boolean' | 'list';
export type Field<Name extends string = string> = Readonly<{
  name: Name;
  type: FieldType;
  /** Never empty. */
  required: boolean;
  about: string;
  unit?: string;
  among?: readonly string[];
}>;

export type Table<Row> = Readonly<{
  name: string;
  title: string;
  fields: readonly Field<Extract<keyof Row, string>>[];
  /** The columns that tell rows apart; empty where none do. */
  key: readonly Extract<keyof Row, string>[];
}>;

type Facts = Readonly<{ unit?: string; among?: readonly string[] }>;
const always = <Name extends string>(name: Name, type: FieldType, about: string, facts: Facts = {}): Field<Name> => ({
  name,
  type,
  required: true,
  about,
  ...facts,
});
const perhaps = <Name extends string>(name: Name, type: FieldType, about: string, facts: Facts = {}): Field<Name> => ({
  name,
  type,
  required: false,
  about,
  ...facts,
});

const PAIR = [
  always('pair', 'string', 'The pair: subject, visit before, visit after'),
  always('kind', 'string', 'change: a follow-up against its baseline; repeat: photographed again with nothing changed', {
    among: PAIR_KINDS,
  }),
  always('subject', 'string', 'The subject, by the code of the manifest'),
  perhaps('group', 'string', 'The group of the subject'),
  always('beforeVisit', 'string', 'The visit of the photographs before'),
  always('afterVisit', 'string', 'The visit of the photographs after'),
  perhaps('daysApart', 'integer', 'From the day of the photographs before to that of the photographs after', { unit: 'd' }),
  perhaps('daysSinceTreatment', 'integer', 'From the day of the treatment to that of the photographs after', { unit: 'd' }),
] as const;
const VERSION = always('ebblineVersion', 'string', 'The version of the program that measured');

export const RESULTS: Table<TidyRow> = {
  name: 'results',
  title: 'One row for each pair, zone and metric',
  key: ['pair', 'zone', 'metric'],
  fields: [
    ...PAIR,
    always('zone', 'string', 'The zone of the face; left and right are the subject\u2019s'),
    always('reference', 'boolean', 'Whether the zone is a negative control of this pair'),
    always('assessable', 'boolean', 'Whether the zone was seen well enough to be judged'),
    always('seen', 'number', 'Share of the zone\u2019s area that was seen well enough to measure, 0 to 1', { unit: '1' }),
    always('trusted', 'number', 'Share of the zone\u2019s area where the model of the light could be trusted, 0 to 1', { unit: '1' }),
    always('areaMm2', 'number', 'Area of the zone', { unit: 'mm2' }),
    always('metric', 'string', METRIC_IDS.map((id) => `${id}: ${METRICS[id].says} (${METRICS[id].unit})`).join('; '), {
      among: METRIC_IDS,
    }),
    perhaps('value', 'number', 'The change, after less before; loss is negative. Of a ratio: after over before. In the unit of its row'),
    always('unit', 'string', 'The unit of value, u, ciLow, ciHigh and sdc'),
    perhaps('u', 'number', 'Standard uncertainty of the value, k = 1'),
    perhaps('ciLow', 'number', 'Lower end of the 95 % interval of the value'),
    perhaps('ciHigh', 'number', 'Upper end of the 95 % interval of the value'),
    perhaps('sdc', 'number', 'Smallest detectable change of this metric in this zone, 1.96 sqrt(2) SEM'),
    perhaps('p', 'number', 'Two-sided probability of such a value under no change', { unit: '1' }),
    perhaps('pHolm', 'number', 'The same after Holm\u2019s correction over the zones of the pair', { unit: '1' }),
    always('finding', 'string', 'Whether the change is beyond the error of its measurement', { among: FINDINGS }),
    VERSION,
  ],
};

export const PAIRS: Table<PairRow> = {
  name: 'pairs',
  title: 'One row for each pair',
  key: ['pair'],
  fields: [
    ...PAIR,
    always('state', 'string', 'How the pair ended; not-comparable is an answer of the quality gate', { among: PAIR_STATES }),
    perhaps('reasons', 'list', 'Checks of the gate that refused the pair, or the code of its fault'),
    perhaps('views', 'list', 'The views that were recognised'),
    perhaps('cautions', 'list', 'Checks that passed with a note; manifest-view: a photograph shows another view than the manifest says'),
    perhaps('controlTrusted', 'boolean', 'Whether the reference zones stayed as they were'),
    perhaps('scaleSource', 'string', 'What millimetres rest on', { among: ['iris', 'interpupillary', 'marker'] }),
    perhaps('scaleRelU', 'number', 'Relative standard uncertainty common to every length; areas double it, volumes treble it', {
      unit: '1',
    }),
    perhaps('errorSource', 'string', 'The source of the error limits', { among: ['validation', 'own-repeats'] }),
    perhaps('pooledVolumeMl', 'number', 'Volume of the zones of concern together, or of those that are usually treated', { unit: 'mL' }),
    perhaps('pooledP', 'number', 'Probability of such a pooled change under no change', { unit: '1' }),
    perhaps('pooledFinding', 'string', 'Whether the pooled change is beyond error', { among: FINDINGS }),
    perhaps('beforeSha256', 'list', 'SHA-256 of the photographs before'),
    perhaps('afterSha256', 'list', 'SHA-256 of the photographs after'),
    perhaps('comparisonSha256', 'string', 'SHA-256 of the comparison as canonical JSON'),
    VERSION,
    perhaps('parametersSha256', 'string', 'SHA-256 of the parameters of the measurement as canonical JSON'),
  ],
};

export const RATINGS: Table<RatingRow> = {
  name: 'ratings',
  title: 'One row for each grade that a rater gave',
  key: [],
  fields: [
    PAIR[0],
    always('rater', 'string', 'The rater, by the code of the manifest'),
    perhaps('zone', 'string', 'The zone that was graded; empty: the whole face'),
    always('grade', 'integer', 'The follow-up against the baseline, from -4, much worse, over 0, no change, to 4, much better'),
  ],
};

export const FAILURES: Table<FailureRow> = {
  name: 'failures',
  title: 'What was not measured, and why',
  key: [],
  fields: [
    perhaps('line', 'integer', 'The row of the manifest that was left out'),
    perhaps('pair', 'string', 'The pair that was not measured'),
    always('state', 'string', 'left-out: a row of the manifest; not-comparable: refused by the gate; failed: not read, or an error', {
      among: ['left-out', 'not-comparable', 'failed'],
    }),
    always('code', 'string', 'The reason, for machines'),
    perhaps('message', 'string', 'The reason, in a sentence'),
    perhaps('advice', 'string', 'What to do about it'),
  ],
};

export const INPUTS: Table<InputRow> = {
  name: 'inputs',
  title: 'The photographs of each pair',
  key: ['pair', 'role', 'file'],
  fields: [
    PAIR[0],
    always('role', 'string', 'The side of the pair', { among: ['before', 'after'] }),
    perhaps('view', 'string', 'The view that was recognised'),
    always('file', 'string', 'The photograph, from the folder of the manifest'),
    always('bytes', 'integer', 'Size of the file', { unit: 'B' }),
    always('sha256', 'string', 'SHA-256 of the file'),
  ],
};
