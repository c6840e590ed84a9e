/** The pair's own facts: one row of `pairs.csv`. */
import { canonicalJson } from '#shared/canonical-json.ts';
import { VIEWS } from '#shared/comparison.ts';
import type { PairRow } from '#shared/series.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { type AnsweredPair, timesOf } from './answered-pair.ts';

/** Said of a pair of which a photograph shows another view than the manifest says. */
export const OTHER_VIEW = 'manifest-view';

/** `sha256` hashes a text. */
export function pairRow(answered: AnsweredPair, sha256: (text: string) => string): PairRow {
  const { pair, state, inputs, fault, comparison } = answered;
  const hashes = (role: 'before' | 'after'): string[] => inputs.filter((input) => input.role === role).map((input) => input.sha256);
  return {
    pair: pair.pair,
    kind: pair.kind,
    subject: pair.subject,
    group: pair.group,
    beforeVisit: pair.beforeVisit,
    afterVisit: pair.afterVisit,
    ...timesOf(answered),
    state,
    reasons: fault ? [fault.code] : idsOf(answered, 'refuse'),
    views: VIEWS.filter((view) => comparison?.inputs.some((input) => input.view === view)),
    cautions: [...idsOf(answered, 'caution'), ...(showsOtherView(answered) ? [OTHER_VIEW] : [])],
    controlTrusted: state === 'measured' && comparison ? comparison.control.trusted : null,
    scaleSource: comparison?.scale?.source ?? null,
    scaleRelU: comparison?.scale?.relU ?? null,
    errorSource: comparison?.errorSource ?? null,
    pooledVolumeMl: comparison?.pooled?.volumeMl.value ?? null,
    pooledP: comparison?.pooled?.p ?? null,
    pooledFinding: comparison?.pooled?.finding ?? null,
    beforeSha256: hashes('before'),
    afterSha256: hashes('after'),
    comparisonSha256: comparison && sha256(canonicalJson(comparison)),
    ebblineVersion: comparison?.versions.ebbline ?? EBBLINE_VERSION,
    parametersSha256: comparison?.versions.parametersSha256 ?? null,
  };
}

function idsOf({ comparison }: AnsweredPair, verdict: 'caution' | 'refuse'): string[] {
  return [...new Set(comparison?.gate.checks.filter((check) => check.verdict === verdict).map(({ id }) => id))].sort();
}

function showsOtherView({ pair, inputs, comparison }: AnsweredPair): boolean {
  const said = new Map([...pair.before, ...pair.after].map(({ file, view }) => [file, view]));
  return inputs.some(({ role, file, sha256 }) => {
    const view = said.get(file);
    const seen = comparison?.inputs.find((input) => input.role === role && input.sha256 === sha256)?.view;
    return view != null && seen !== undefined && view !== seen;
  });
}
