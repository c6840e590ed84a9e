/** What is measured, how, and how far to trust it. Figures of the trade carry their source or say that they have none. */
import type { Metadata } from 'next';
import Link from 'next/link';
import { FaceDiagram } from '#app/_parts/face-diagram.tsx';
import { FindingMark } from '#app/_parts/marks.tsx';
import { STANDING_CAUTIONS, UNSETTLED_DAYS } from '#shared/cautions.ts';
import { METRIC_IDS, METRICS } from '#shared/comparison.ts';
import { withUnit } from '#shared/numbers.ts';
import { EBBLINE_VERSION } from '#shared/version.ts';
import { REFERENCE_ZONES, zoneLabel } from '#shared/zones.ts';
import css from './about.module.css';

export const metadata: Metadata = { title: 'What is measured' };

export default function About() {
  return (
    <div className={css.about}>
      <h1>What is measured, and how far to trust it</h1>

      <section aria-labelledby="is">
        <h2 id="is">What it is</h2>
        <p>
          Two ordinary photographs of one face, weeks apart, become a measured answer: where soft tissue or skin changed, by how much, and
          whether that is more than the measurement&rsquo;s own error. Loss is negative, gain positive. Left and right are the
          patient&rsquo;s.
        </p>
        <p>
          A diffuse change, where a region is a little flatter, darker or rougher, is easily missed when two photographs differ in pose and
          light, and easily seen when they do not. So the pair is first made fair, and only then measured.
        </p>
      </section>

      <section aria-labelledby="how">
        <h2 id="how">How an answer comes about</h2>
        <ol>
          <li>
            <strong>Checks.</strong> Each photograph and the pair are checked: size, focus, exposure, pose, expression, distance, light.
            Each check shows its number, its limit and what to do. A pair that cannot be compared fairly is refused, with the reasons.
          </li>
          <li>
            <strong>Scale.</strong> Millimetres come from the visible width of the iris, about 11.7 mm with a standard deviation of about
            0.5 mm between people: some 4 % of every length, and three times that of every volume. A measured pupil distance or a printed
            marker is better. The factor is the same in both photographs, so it never makes a change where there is none.
          </li>
          <li>
            <strong>Alignment.</strong> The after photograph is carried into the pose of the before. What could not be aligned is reported
            in millimetres.
          </li>
          <li>
            <strong>Light.</strong> The difference of the light is fitted and removed, held by the reference zones (
            {REFERENCE_ZONES.map((zone) => zoneLabel(zone).toLowerCase()).join(', ')}).
          </li>
          <li>
            <strong>Change.</strong> What remains is change of the face: a field of displacement, and colour, shadow, contour and texture in
            every zone, each with its unit and interval.
          </li>
          <li>
            <strong>Findings.</strong> A change is beyond error when it exceeds the smallest detectable change (1.96 &times; &radic;2
            &times; the standard error of measurement) and its probability holds after Holm&rsquo;s correction over all zones.
          </li>
        </ol>
      </section>

      <section aria-labelledby="findings">
        <h2 id="findings">What a finding means</h2>
        <dl className={css.findings}>
          <dt>
            <FindingMark finding="beyond-error" sign={-1} /> <FindingMark finding="beyond-error" sign={1} /> Beyond error
          </dt>
          <dd>
            The photographs show a loss or gain in this zone that the measurement&rsquo;s error does not explain. What caused it, they do
            not say.
          </dd>
          <dt>
            <FindingMark finding="within-error" sign={0} /> Within error
          </dt>
          <dd>
            No change was found, or one too small to tell from error. A change smaller than the smallest detectable change shown may still
            be there.
          </dd>
          <dt>
            <FindingMark finding="not-assessable" sign={0} /> Not assessable
          </dt>
          <dd>The zone was not seen well enough, and says why.</dd>
          <dt>Negative control</dt>
          <dd>
            Reference zones are seldom filled and keep still at rest. When they seem to change, the whole comparison cannot be trusted, and
            says so first.
          </dd>
          <dt>Zones of concern together</dt>
          <dd>One test over all of them, which finds a diffuse loss that no single zone shows.</dd>
          <dt>Evidence</dt>
          <dd>
            Each zone&rsquo;s row shows what its finding rests on, along one line across the zone: the displacement with its 95 % interval,
            lightness before and after in the same light, how far texture moved, and where the light could be explained. The line is dashed
            in the pictures.
          </dd>
        </dl>
      </section>

      <section aria-labelledby="metrics">
        <h2 id="metrics">The metrics</h2>
        <div className={css.metrics}>
          <table>
            <thead>
              <tr>
                <th scope="col">Metric</th>
                <th scope="col">Unit</th>
                <th scope="col">What it says</th>
              </tr>
            </thead>
            <tbody>
              {METRIC_IDS.map((id) => (
                <tr key={id}>
                  <th scope="row">{METRICS[id].label}</th>
                  <td>{withUnit('', METRICS[id].unit).trim() || 'ratio'}</td>
                  <td>{METRICS[id].says}</td>
                </tr>
              ))}
            </tbody>
          </table>
          <figure>
            <FaceDiagram chosen={new Set(REFERENCE_ZONES)} />
            <figcaption className="small soft">The zones; the reference zones are filled.</figcaption>
          </figure>
        </div>
      </section>

      <section aria-labelledby="trust">
        <h2 id="trust">How far to trust it</h2>
        <ul>
          <li>Volume from one frontal pair rests on shading alone. Oblique views of both sides make it more certain.</li>
          <li>Narrow zones beside folds and lips are the hardest; their intervals are wider for it.</li>
          <li>
            Standard errors come from the program&rsquo;s own validation until you measure your own set-up: photograph people twice with
            nothing changed, run <code>ebbline repeat</code> on the folder, and choose its profile under Error limits. Your room and camera
            may err more.
          </li>
          <li>
            Same camera, lens, distance (at least one metre), light, chair and gaze each time do more for the answer than anything the
            program can do afterwards. Lips closed, face at rest, hair back, no make-up.
          </li>
          <li>
            Within about {UNSETTLED_DAYS} days of a treatment, water loss, swelling and bruising are expected (common practice; no published
            source). The result then says from when it can be judged.
          </li>
        </ul>
      </section>

      <section aria-labelledby="safety">
        <h2 id="safety">Safety</h2>
        <ul>
          {STANDING_CAUTIONS.map(({ code, text }) => (
            <li key={code} data-code={code}>
              {text}
            </li>
          ))}
        </ul>
      </section>

      <section aria-labelledby="privacy">
        <h2 id="privacy">Where the photographs are</h2>
        <p>
          On the computer that runs the program, in a folder that only its user can read: byte for byte as you gave them, and sealed. What
          locks them stands under <Link href="/settings">Settings</Link>. The program contacts no other computer, and answers others only
          where the practice has set it up so, behind its password. Where a photograph was taken (GPS) is never read. Removing a comparison
          or erasing a case removes its pictures, and its photographs when nothing else uses them.
        </p>
        <p className="small soft">Ebbline {EBBLINE_VERSION}</p>
      </section>
    </div>
  );
}
