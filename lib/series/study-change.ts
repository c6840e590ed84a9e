/**
 * Did a zone change? One value a subject against no change: mean with interval, effect size, and three tests of which one decides.
 *
 * Model   the sign-flip permutation test decides, since it tests the mean that is reported and asks for symmetry only; Student's t and
 *         Wilcoxon's test stand beside it. Holm's and Benjamini & Hochberg's corrections run over the zones of one metric that are no reference.
 */
import { clusterBootstrapMean } from '#lib/stats/cluster-bootstrap.ts';
import { standardisedMeanChange } from '#lib/stats/effect-size.ts';
import { benjaminiHochberg, holm } from '#lib/stats/multiplicity.ts';
import { oneSampleT } from '#lib/stats/one-sample.ts';
import { proportion } from '#lib/stats/proportion.ts';
import type { Random } from '#lib/stats/random.ts';
import { signFlipTest } from '#lib/stats/sign-flip.ts';
import { signedRank } from '#lib/stats/signed-rank.ts';
import { refused } from '#shared/outcome.ts';
import type { StudyReport } from '#shared/study.ts';
import { independence, normality } from './study-assumptions.ts';
import { isMagnitude, type StudyColumn, type StudyData } from './study-data.ts';
import { bySubject, onePerSubject, type StudyOptions } from './study-selection.ts';

type Change = StudyReport['change'][number]['answer'];
const SAYS = { last: 'the last follow-up', first: 'the first follow-up', mean: 'the mean of the follow-ups' } as const;

export function studyChange(data: StudyData, column: StudyColumn, options: StudyOptions, random: Random): Change {
  if (isMagnitude(column.metric))
    return refused(
      'no-sign',
      'A colour difference says how far, not which way, so it has no mean change; see lightness, redness and blueness.',
    );
  const subjects = bySubject(data, column, 'change', options);
  const chosen = onePerSubject(subjects, options.perSubject);
  const values = chosen.map(({ value }) => value);
  const mean = oneSampleT(values);
  if (!mean.ok) return mean;
  const flip = signFlipTest(values, random.fork('flip'));
  const effect = standardisedMeanChange(values);
  if (!flip.ok) return flip;
  if (!effect.ok) return effect;
  const ranked = signedRank(values);
  const clusters = [...subjects.values()].map((own) => own.map(({ value }) => value));
  const several = clusters.some((own) => own.length > 1);
  const drawn = several ? clusterBootstrapMean(clusters, random.fork('bootstrap')) : null;
  const beyond = proportion(chosen.filter(({ finding }) => finding === 'beyond-error').length, chosen.length);
  const { n, sd, u, ci95, t, freedom, p } = mean.value;
  return {
    ok: true,
    method: `one value a subject, ${SAYS[options.perSubject]}; sign-flip permutation test of the mean, ${flip.value.method}; interval by Student\u2019s t; effect as standardised mean change with Hedges\u2019 correction, interval by the noncentral t`,
    assumptions: [
      normality(values, 'changes'),
      {
        name: 'changes lie evenly about their mean',
        held: null,
        detail: 'The sign-flip and signed-rank tests ask for symmetry under no change only; it is not tested apart.',
      },
      independence(
        several
          ? 'Each subject counts once; the interval over all pairs draws subjects anew with all their pairs.'
          : 'Each subject has one pair.',
      ),
    ],
    subjects: n,
    pairs: clusters.reduce((total, own) => total + own.length, 0),
    mean: mean.value.mean,
    sd,
    u,
    ci95: [...ci95],
    t: { t, freedom, p },
    signedRank: ranked.ok
      ? {
          method: ranked.value.method === 'exact' ? 'exact, ties included' : 'normal, corrected for ties and continuity',
          zeros: ranked.value.zeros,
          ties: ranked.value.ties,
          rankSum: ranked.value.rankSum,
          p: ranked.value.p,
        }
      : null,
    signFlip: { method: flip.value.method, patterns: flip.value.patterns, p: flip.value.p },
    effect: { d: effect.value.d, dCi95: [...effect.value.dCi95], hedges: effect.value.hedges, hedgesCi95: [...effect.value.hedgesCi95] },
    pHolm: null,
    pBh: null,
    clustered: drawn?.ok
      ? { mean: drawn.value.mean, ci95: [...drawn.value.ci95], pairs: drawn.value.values, draws: drawn.value.draws }
      : null,
    beyondError: { count: beyond.count, of: beyond.of, share: beyond.share, ci95: [...beyond.ci95] },
  };
}

type Corrected = { reference: boolean; metric: string; answer: { ok: boolean; pHolm?: number | null; pBh?: number | null } };

/** The same rows with Holm's and Benjamini & Hochberg's probabilities, metric by metric, references left out. `pOf` is the deciding p. */
export function correctedOverZones<T extends Corrected>(
  rows: readonly T[],
  pOf: (answer: Extract<T['answer'], { ok: true }>) => number,
): T[] {
  const out = [...rows];
  for (const metric of new Set(rows.map((row) => row.metric))) {
    const family = rows.flatMap((row, at) => (row.metric === metric && !row.reference && row.answer.ok ? [at] : []));
    const ps = family.map((at) => pOf(rows[at].answer as Extract<T['answer'], { ok: true }>));
    const [ofHolm, ofBh] = [holm(ps), benjaminiHochberg(ps)];
    family.forEach((at, k) => {
      out[at] = { ...rows[at], answer: { ...rows[at].answer, pHolm: ofHolm[k], pBh: ofBh[k] } };
    });
  }
  return out;
}
