/**
 * What a practice says of itself and of its trade: printed on reports, shown as hints beside a treatment, and edited in the settings.
 * The facts of the trade below are common practice without a published source, and are always shown as that.
 */
import { z } from 'zod';
import { zoneIdSchema } from './comparison.ts';

/** What the practice expects in a zone, shown beside it while a treatment is entered. */
export const zoneHintSchema = z.object({
  zones: z.array(zoneIdSchema).min(1),
  text: z.string().trim().min(1).max(400),
  /** `common-practice` has no published source; `practice` is the practice's own word. */
  source: z.enum(['common-practice', 'practice']),
});
export type ZoneHint = z.infer<typeof zoneHintSchema>;

export const tradeFactsSchema = z.object({
  /** Minutes the enzyme works. */
  enzymeWorksMin: z.number().positive().max(100_000),
  /** Days from treatment to the first review, and from one review to the next. */
  firstReviewDay: z.number().int().min(1).max(60),
  reviewEveryDays: z.number().int().min(1).max(60),
  /** Days in which hollowing from lost water is expected and a comparison is early. */
  waterLossDays: z.number().int().min(1).max(120),
  /** Share of the gel that one pass removes, low and high, 0..1. */
  removedPerPass: z.tuple([z.number().min(0).max(1), z.number().min(0).max(1)]),
  /** mL of enzyme solution and of lidocaine 1 % for one half of the upper lip. */
  upperLipMixMl: z.tuple([z.number().positive().max(5), z.number().positive().max(5)]),
});
export type TradeFacts = z.infer<typeof tradeFactsSchema>;

export const practiceSettingsSchema = z.object({
  /** On reports; may be empty. */
  practiceName: z.string().trim().max(120),
  facts: tradeFactsSchema,
  hints: z.array(zoneHintSchema).max(60),
  revision: z.number().int().nonnegative(),
});
export type PracticeSettings = z.infer<typeof practiceSettingsSchema>;

const common = (zones: ZoneHint['zones'], text: string): ZoneHint => ({ zones, text, source: 'common-practice' });

/** Until the practice edits them. The range of gel removed is the trade's "about 70 %" with a margin of our own around it. */
export const USUAL_SETTINGS: PracticeSettings = {
  practiceName: '',
  facts: {
    enzymeWorksMin: 30,
    firstReviewDay: 4,
    reviewEveryDays: 4,
    waterLossDays: 14,
    removedPerPass: [0.6, 0.8],
    upperLipMixMl: [0.1, 0.2],
  },
  hints: [
    common(
      ['infraorbital-left', 'infraorbital-right'],
      'Little hyaluronic acid of its own: lasting loss is unlikely, but the first days can look dramatically hollow.',
    ),
    common(
      ['midface-left', 'midface-right', 'marionette-left', 'marionette-right', 'prejowl-left', 'prejowl-right'],
      'Much hyaluronic acid of its own: lasting deflation is possible. Avoid dissolving here unless there is a discrete nodule; do not repeat without need. Its own may take 1 to 3 years to return, may return in part, or not at all.',
    ),
    common(['glabella', 'nasal-dorsum', 'nasal-tip'], 'Low risk of lasting loss. Stay off the thin skin at the rhinion.'),
    common(
      ['upper-lip-left', 'upper-lip-right', 'philtrum', 'vermilion-upper'],
      'Gel may have wandered upward from the lip: about 10 mm for strongly water-drawing gels, 2 to 3 mm for others.',
    ),
  ],
  revision: 0,
};
