/** What the answer rests on: pooled test, checks, alignment and light, photographs, versions, cautions. */

import { CheckList } from '#app/_parts/check-list.tsx';
import { viewLabel } from '#app/_parts/check-words.ts';
import { FindingMark } from '#app/_parts/marks.tsx';
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { errorSourceWords } from '#lib/report/error-source.ts';
import type { Comparison } from '#shared/comparison.ts';
import { fixed, intervalText, metricText, probabilityText, signed } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';
import css from './result.module.css';

export function PooledResult({ pooled }: { pooled: NonNullable<Comparison['pooled']> }) {
  return (
    <section className="sheet" aria-labelledby="pooled">
      <h2 id="pooled">The zones of concern together</h2>
      <p className={css.finding}>
        <FindingMark finding={pooled.finding} sign={pooled.finding === 'beyond-error' ? Math.sign(pooled.volumeMl.value) : 0} />
        <span>{pooled.statement}</span>
      </p>
      <p className="number small">
        {metricText('volumeMl', pooled.volumeMl.value)}, 95 % interval {intervalText('volumeMl', pooled.volumeMl.ci95)}, p{' '}
        {probabilityText(pooled.p)}
      </p>
      <p className="small soft">{pooled.zones.map(zoneLabel).join('; ')}</p>
    </section>
  );
}

export function GateSection({ gate }: Pick<Comparison, 'gate'>) {
  return (
    <section className="sheet" aria-labelledby="gate">
      <h2 id="gate">Checks of the photographs</h2>
      <CheckList checks={gate.checks} whose />
    </section>
  );
}

export function ResidualSection({ registration, light }: Pick<Comparison, 'registration' | 'light'>) {
  return (
    <section className={`sheet ${css.wide}`} aria-labelledby="residual">
      <h2 id="residual">What alignment and light left over</h2>
      <ScrollRegion label="Residuals by view">
        <table>
          <thead>
            <tr>
              <th scope="col">View</th>
              <th scope="col" className="number">
                Alignment
              </th>
              <th scope="col" className="number">
                Expression
              </th>
              <th scope="col" className="number">
                Exposure
              </th>
              <th scope="col" className="number">
                Light turned by
              </th>
              <th scope="col" className="number">
                Light left over
              </th>
            </tr>
          </thead>
          <tbody>
            {registration.map((one) => {
              const lit = light.find((item) => item.view === one.view);
              return (
                <tr key={one.view}>
                  <th scope="row">{viewLabel(one.view)}</th>
                  <td className="number">
                    {fixed(one.residualMm, 2)} mm ({fixed(one.residualPx, 2)} px)
                  </td>
                  <td className="number">{fixed(one.expressionMm, 2)} mm</td>
                  <td className="number">{lit ? `${signed(100 * (lit.exposureRatio - 1), 0)} %` : ''}</td>
                  <td className="number">
                    {lit ? (lit.directionDeg === null ? 'even light' : `${fixed(lit.directionDeg, 0)}\u00b0`) : ''}
                  </td>
                  <td className="number">{lit ? `${fixed(100 * lit.residual, 1)} %` : ''}</td>
                </tr>
              );
            })}
          </tbody>
        </table>
      </ScrollRegion>
    </section>
  );
}

export function PhotoSection({ comparison }: { comparison: Comparison }) {
  const { inputs, versions } = comparison;
  return (
    <section className={`sheet ${css.wide}`} aria-labelledby="photos">
      <h2 id="photos">Photographs and versions</h2>
      <ScrollRegion label="Photographs">
        <table>
          <thead>
            <tr>
              <th scope="col">Photograph</th>
              <th scope="col">Taken</th>
              <th scope="col">Camera</th>
              <th scope="col" className="number">
                Size
              </th>
              <th scope="col" className="number">
                Turn, chin, tilt
              </th>
              <th scope="col">SHA-256</th>
            </tr>
          </thead>
          <tbody>
            {inputs.map(({ role, view, name, facts, pose, sha256 }) => (
              <tr key={`${role} ${view}`}>
                <th scope="row">
                  {role === 'before' ? 'Before' : 'After'}, {viewLabel(view).toLowerCase()}
                  <span className={css.fileLine}>{name}</span>
                </th>
                <td className="number">
                  {facts.takenAt ? facts.takenAt.replace('T', ' ').slice(0, 16) : <span className="soft">not in the file</span>}
                </td>
                <td>
                  {facts.camera ?? <span className="soft">not in the file</span>}
                  {facts.focalLengthMm !== null && <>, {fixed(facts.focalLengthMm, 0)} mm</>}
                  {facts.flashFired && <>, flash</>}
                </td>
                <td className="number">
                  {facts.widthPx} &times; {facts.heightPx} px
                </td>
                <td className="number">
                  {[pose.yawDeg, pose.pitchDeg, pose.rollDeg].map((angle) => `${signed(angle.value, 1)}\u00b0`).join(', ')}
                </td>
                <td className={`mono ${css.hash}`}>{sha256}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </ScrollRegion>
      <dl className={css.versions}>
        <dt>Program</dt>
        <dd>Ebbline {versions.ebbline}</dd>
        <dt>Landmark engine</dt>
        <dd>{versions.landmarkEngine}</dd>
        {Object.entries(versions.models).map(([model, hash]) => (
          <ModelLine key={model} model={model} hash={hash} />
        ))}
        <dt>Parameters</dt>
        <dd className="mono">{versions.parametersSha256}</dd>
        <dt>Standard errors</dt>
        <dd>{errorSourceWords(comparison)}</dd>
      </dl>
    </section>
  );
}

function ModelLine({ model, hash }: { model: string; hash: string }) {
  return (
    <>
      <dt>{model}</dt>
      <dd className="mono">{hash}</dd>
    </>
  );
}

export function CautionSection({ cautions }: Pick<Comparison, 'cautions'>) {
  return (
    <section className={`sheet ${css.wide} keep`} aria-labelledby="cautions">
      <h2 id="cautions">Read with care</h2>
      <ul className={css.cautions}>
        {cautions.map(({ code, text }) => (
          <li key={code} data-code={code}>
            {text}
          </li>
        ))}
      </ul>
    </section>
  );
}
