/** What the practice says of itself and of its trade, in one row; until it says something, the usual. */

import { canonicalJson } from '#shared/canonical-json.ts';
import { found } from '#shared/outcome.ts';
import { type PracticeSettings, practiceSettingsSchema, USUAL_SETTINGS } from '#shared/practice.ts';
import { changedMeanwhile, type Hands } from './case-hands.ts';
import type { CaseBook } from './case-types.ts';

export function practiceShelf({ db, change }: Hands): Pick<CaseBook, 'settings' | 'editSettings'> {
  const read = (): PracticeSettings => {
    const row = db.get('SELECT * FROM practice WHERE id = 1');
    return row ? practiceSettingsSchema.parse({ ...JSON.parse(String(row.settings)), revision: row.revision }) : USUAL_SETTINGS;
  };
  return {
    settings: async () => read(),
    editSettings: (revision, given) => {
      const settings = practiceSettingsSchema.omit({ revision: true }).parse(given);
      return change((log) => {
        if (read().revision !== revision) return changedMeanwhile("The practice's settings");
        db.run(
          `INSERT INTO practice (id, settings, revision) VALUES (1, ?, ?)
           ON CONFLICT (id) DO UPDATE SET settings = excluded.settings, revision = excluded.revision`,
          canonicalJson(settings),
          revision + 1,
        );
        log({ action: 'change', what: 'settings', id: 'practice', case: null, facts: { revision: revision + 1 } });
        return found(read());
      });
    },
  };
}
