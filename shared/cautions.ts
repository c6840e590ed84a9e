/**
 * What has to be said beside a result. The first six are said on every report; the others when they apply.
 * None of it is small print: each is one thing a reader would otherwise get wrong.
 */
import type { Caution, Comparison } from './comparison.ts';
import type { SetUpProfile } from './set-up-profile.ts';

/** Days within which water loss, swelling and bruising are expected. Common practice; no published source. */
export const UNSETTLED_DAYS = 14;

const ALWAYS: readonly Caution[] = [
  { code: 'aid-not-diagnosis', text: 'This is an aid to documentation. It is not a diagnosis and not a medical device.' },
  {
    code: 'cause-unknown',
    text: 'A measured change does not explain its cause: weight, water, swelling, age, make-up and expression change a face as well.',
  },
  {
    code: 'no-change-is-no-verdict',
    text: 'No measured change does not make a complaint unfounded: a small or deep change can lie below the detection limit shown for its zone.',
  },
  { code: 'practitioner-decides', text: 'Decisions belong to a licensed practitioner under the rules that apply locally.' },
  {
    code: 'emergency',
    text:
      'Sudden pain, blanching, mottled skin or a change of vision after an injection is an emergency: stop, and follow the local ' +
      'protocol for vascular occlusion, not this program.',
  },
  { code: 'distress', text: 'Distress about appearance deserves a referral, not another session.' },
];

/** Those that are said beside every result, and where the program explains itself. */
export const STANDING_CAUTIONS: readonly Caution[] = ALWAYS;

/** What is known beside the comparison itself. */
export type CautionFacts = Readonly<{
  /** From the treatment to the after photographs; negative when they were taken before it. */
  daysSinceTreatment?: number | undefined;
  /** The profile that the error limits come from, when they are not the validation's. */
  setUp?: SetUpProfile | undefined;
}>;

type Said = Pick<Comparison, 'gate' | 'scale' | 'control' | 'zones' | 'errorSource' | 'inputs' | 'versions'>;

/** Every caution that applies, those about this very comparison first. `code` is for machines and never changes its meaning. */
export function cautionsFor(comparison: Said, facts: CautionFacts = {}): Caution[] {
  const cautions: Caution[] = [];
  const measured = comparison.gate.comparable && comparison.zones.length > 0;
  if (measured && !comparison.control.trusted)
    cautions.push({
      code: 'control-failed',
      text: `This comparison cannot be trusted: zones that should have stayed as they were seem to have changed. ${comparison.control.statement}`,
    });
  cautions.push(...timeCautions(comparison, facts.daysSinceTreatment));
  if (measured && comparison.scale?.source === 'iris') cautions.push(irisCaution(comparison.scale.relU));
  if (measured && new Set(comparison.inputs.map((input) => input.view)).size === 1)
    cautions.push({
      code: 'one-view',
      text: 'Only one view was compared, so depth rests on shading alone. Oblique views of both sides make it more certain.',
    });
  if (measured && comparison.errorSource === 'validation')
    cautions.push({
      code: 'error-from-validation',
      text: "The error limits come from the program's own validation, not from repeated photographs with your camera and in your room, which may err more.",
    });
  if (measured && facts.setUp) cautions.push(...setUpCautions(comparison, facts.setUp));
  return [...cautions, ...ALWAYS];
}

/**
 * Below this many pairs a study of measurement error is called poor: Terwee et al., Quality of Life Research 21:651-657, 2012,
 * doi:10.1007/s11136-011-9960-1.
 */
export const FEW_REPEATS = 30;

function setUpCautions({ inputs, versions, scale }: Said, setUp: SetUpProfile): Caution[] {
  const cautions: Caution[] = [];
  if (setUp.pairs < FEW_REPEATS)
    cautions.push({
      code: 'few-repeats',
      text:
        `The error limits come from ${setUp.pairs === 1 ? 'one pair' : `${setUp.pairs} pairs`} of repeated photographs (set-up "${setUp.name}"). With ` +
        `fewer than ${FEW_REPEATS} they are uncertain themselves, and were widened for it; more repeats narrow them.`,
    });
  const strange = [...new Set(inputs.flatMap(({ facts }) => facts.camera ?? []))].filter((camera) => !setUp.cameras.includes(camera));
  if (setUp.cameras.length > 0 && strange.length > 0)
    cautions.push({
      code: 'other-set-up',
      text:
        `The error limits come from the set-up "${setUp.name}" with ${setUp.cameras.join(' and ')}, but photographs of this pair come from ` +
        `${strange.join(' and ')}. Limits of one set-up do not hold for another.`,
    });
  const older =
    setUp.versions.ebbline !== versions.ebbline ||
    setUp.versions.landmarkEngine !== versions.landmarkEngine ||
    Object.entries(versions.models).some(([model, hash]) => setUp.versions.models[model] !== hash);
  if (older)
    cautions.push({
      code: 'older-set-up',
      text: `The repeats of the set-up "${setUp.name}" were measured by another version of the program (${setUp.versions.ebbline}). Measure them again with this one.`,
    });
  if (scale && scale.source !== setUp.scaleSource)
    cautions.push({
      code: 'set-up-scale',
      text: `The repeats of the set-up "${setUp.name}" took their scale from another source than this pair, so limits in millimetres may be a few per cent off.`,
    });
  return cautions;
}

function irisCaution(relU: number): Caution {
  return {
    code: 'scale-from-iris',
    text:
      `Millimetres rest on the usual width of the human iris. Every length can be off by a common factor with a standard uncertainty of ` +
      `${percent(relU)}, every volume by ${percent(3 * relU)}. A measured pupil distance or a printed marker narrows this.`,
  };
}

function timeCautions(comparison: Said, days: number | undefined): Caution[] {
  if (days === undefined || days >= UNSETTLED_DAYS) return [];
  if (days < 0)
    return [
      {
        code: 'after-precedes-treatment',
        text: `The after photographs were taken ${dayCount(-days)} before the treatment, so this comparison says nothing about the treatment. Check the dates.`,
      },
    ];
  const settled = settledDay(comparison, days);
  const when = settled ? `from ${settled} on` : `from ${dayCount(UNSETTLED_DAYS - days)} after these photographs on`;
  return [
    {
      code: 'too-early',
      text:
        `The after photographs were taken ${days === 0 ? 'on the day of the treatment' : `${dayCount(days)} after the treatment`}. Within the first ` +
        `two weeks water loss, swelling and bruising are expected; the result can be judged ${when} (common practice; no published source).`,
    },
  ];
}

/** The day two weeks after the treatment, as YYYY-MM-DD, where an after photograph says when it was taken. */
function settledDay(comparison: Said, days: number): string | null {
  const taken = comparison.inputs
    .flatMap((input) => (input.role === 'after' && input.facts.takenAt ? [input.facts.takenAt.slice(0, 10)] : []))
    .sort()[0];
  if (!taken) return null;
  const ms = Date.parse(`${taken}T00:00:00Z`) + (UNSETTLED_DAYS - days) * 86_400_000;
  return Number.isNaN(ms) ? null : new Date(ms).toISOString().slice(0, 10);
}

const percent = (share: number): string => `${(100 * share).toFixed(share < 0.1 ? 1 : 0)} %`;
const dayCount = (days: number): string => (days === 1 ? '1 day' : `${days} days`);
