/** Whose word a fact of the trade is: common practice while it stands as it came, the practice's own once it was edited. */
import { type TradeFacts, USUAL_SETTINGS, type ZoneHint } from './practice.ts';

export const SOURCE_WORDS: Readonly<Record<ZoneHint['source'], string>> = {
  'common-practice': 'common practice, no published source',
  practice: 'the practice\u2019s own',
};

/** Of several facts: one that was edited makes the whole the practice's own. */
export function factSource<K extends keyof TradeFacts>(facts: Pick<TradeFacts, K>, ...keys: K[]): ZoneHint['source'] {
  const usual = keys.every((key) => JSON.stringify(facts[key]) === JSON.stringify(USUAL_SETTINGS.facts[key]));
  return usual ? 'common-practice' : 'practice';
}

export const factSourceWords = <K extends keyof TradeFacts>(facts: Pick<TradeFacts, K>, ...keys: K[]): string =>
  SOURCE_WORDS[factSource(facts, ...keys)];
