/** Checks of the gate: what is wrong first, with number, limit and advice; what is right in one line that opens. */
import type { Check } from '#shared/comparison.ts';
import css from './check-list.module.css';
import { checkLabel, checkNumbers, viewLabel } from './check-words.ts';
import { VerdictMark } from './marks.tsx';

const RANK = { refuse: 0, caution: 1, pass: 2 } as const;
const WORD = { refuse: 'Not usable', caution: 'Note', pass: 'Good' } as const;

export function CheckList({ checks, whose = false }: { checks: readonly Check[]; whose?: boolean }) {
  const wanting = checks.filter((check) => check.verdict !== 'pass').sort((a, b) => RANK[a.verdict] - RANK[b.verdict]);
  const passed = checks.filter((check) => check.verdict === 'pass');
  return (
    <div className={css.checks}>
      {wanting.length > 0 && (
        <ul className={css.list}>
          {wanting.map((check) => (
            <li key={`${check.of} ${check.view} ${check.id}`} className={css[check.verdict]}>
              <VerdictMark verdict={check.verdict} />
              <div>
                <p>
                  <span className="unseen">{WORD[check.verdict]}: </span>
                  <strong>{checkLabel(check.id)}</strong>
                  {whose && <span className="soft"> ({ofWords(check)})</span>}. {check.message}
                </p>
                {check.advice && <p className={css.advice}>{check.advice}</p>}
                {checkNumbers(check) && <p className={`${css.numbers} number`}>{checkNumbers(check)}</p>}
              </div>
            </li>
          ))}
        </ul>
      )}
      {passed.length > 0 && (
        <details className={css.passed}>
          <summary>
            <VerdictMark verdict="pass" /> {passed.length} of {checks.length} checks are good
          </summary>
          <ul>
            {passed.map((check) => (
              <li key={`${check.of} ${check.view} ${check.id}`}>
                {checkLabel(check.id)}
                {whose && <span className="soft"> ({ofWords(check)})</span>}
                {checkNumbers(check) && <span className="number soft"> {checkNumbers(check)}</span>}
              </li>
            ))}
          </ul>
        </details>
      )}
    </div>
  );
}

function ofWords({ of, view }: Check): string {
  const seen = viewLabel(view).toLowerCase();
  return of === 'pair' ? `pair, ${seen}` : of === 'photo' ? seen : `${of}, ${seen}`;
}
