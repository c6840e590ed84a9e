/** Two versions of the settings, side by side in words, for whoever has to choose between them. */
import type { Difference } from '#app/_parts/conflict-note.tsx';
import { SOURCE_WORDS } from '#shared/fact-source.ts';
import { zoneLabel } from '#shared/zones.ts';
import { FACT_FIELDS, type HintFields, type SettingsFields } from './settings-fields.ts';

export function settingsDifferences(mine: SettingsFields, theirs: SettingsFields): Difference[] {
  const hints = Array.from({ length: Math.max(mine.hints.length, theirs.hints.length) }, (_, i) => ({
    label: `Hint ${i + 1}`,
    mine: hintWords(mine.hints[i]),
    theirs: hintWords(theirs.hints[i]),
  }));
  return [
    { label: 'Name of the practice', mine: mine.practiceName, theirs: theirs.practiceName },
    ...FACT_FIELDS.map(({ key, label, unit }) => ({
      label: `${label}, ${unit}`,
      mine: mine.facts[key],
      theirs: theirs.facts[key],
    })),
    ...hints,
  ];
}

const hintWords = (hint: HintFields | undefined): string =>
  hint ? `${hint.zones.map(zoneLabel).join('; ')}: ${hint.text} (${SOURCE_WORDS[hint.source]})` : '';
