/** Everything measured in one zone, with unit, interval, smallest detectable change and corrected probability. */
import { ScrollRegion } from '#app/_parts/scroll-region.tsx';
import { METRIC_IDS, METRICS, type ZoneResult } from '#shared/comparison.ts';
import { fixed, intervalText, METRIC_DECIMALS, metricText, probabilityText, withUnit } from '#shared/numbers.ts';
import css from './result.module.css';

const FINDING_WORDS = { 'beyond-error': 'beyond error', 'within-error': 'within error', 'not-assessable': 'not assessable' } as const;

export function MetricTable({ zone }: { zone: ZoneResult }) {
  const measured = METRIC_IDS.flatMap((id) => {
    const result = zone.metrics[id];
    return result ? [{ id, result }] : [];
  });
  if (measured.length === 0) return null;
  return (
    <ScrollRegion label="Everything measured in this zone">
      <table className={css.metrics}>
        <thead>
          <tr>
            <th scope="col">Metric</th>
            <th scope="col" className="number">
              Change
            </th>
            <th scope="col" className="number">
              95 % interval
            </th>
            <th scope="col" className="number">
              <abbr title="Smallest detectable change">SDC</abbr>
            </th>
            <th scope="col" className="number">
              <abbr title="Probability of this under no change, corrected over the zones after Holm">p (Holm)</abbr>
            </th>
            <th scope="col">Finding</th>
          </tr>
        </thead>
        <tbody>
          {measured.map(({ id, result }) => (
            <tr key={id}>
              <th scope="row">
                <span title={METRICS[id].says}>{METRICS[id].label}</span>
              </th>
              <td className="number">{metricText(id, result.value)}</td>
              <td className="number">{intervalText(id, result.ci95)}</td>
              <td className="number">{withUnit(fixed(result.sdc, METRIC_DECIMALS[id]), METRICS[id].unit)}</td>
              <td className="number">{probabilityText(result.pHolm)}</td>
              <td>{FINDING_WORDS[result.finding]}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </ScrollRegion>
  );
}
