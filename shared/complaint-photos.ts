/** Which photographs of its two visits a complaint is shown on. */
import type { Visit, VisitPhoto } from './case.ts';
import { VIEWS, type View } from './comparison.ts';

const chosenOf = ({ photos }: Pick<Visit, 'photos'>, view: View): VisitPhoto | null =>
  photos.find((photo) => photo.view === view && photo.chosen) ?? photos.find((photo) => photo.view === view) ?? null;

/** The one photograph a visit is known by: frontal where there is one. */
export const facePhoto = (visit: Pick<Visit, 'photos'>): VisitPhoto | null =>
  VIEWS.map((view) => chosenOf(visit, view)).find((photo) => photo !== null) ?? null;

/** Views that both visits show, in the usual order, each with its pair. */
export function sharedViews(
  before: Pick<Visit, 'photos'>,
  after: Pick<Visit, 'photos'>,
): { view: View; before: VisitPhoto; after: VisitPhoto }[] {
  return VIEWS.flatMap((view) => {
    const [one, other] = [chosenOf(before, view), chosenOf(after, view)];
    return one && other ? [{ view, before: one, after: other }] : [];
  });
}
