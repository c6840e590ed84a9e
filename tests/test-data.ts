/**
 * Where the outside test data lies: photographs and marks that may not be committed.
 * A test that needs them is skipped when they are absent, and its name says which.
 */
import { existsSync } from 'node:fs';
import { join } from 'node:path';

const FOLDER = process.env.EBBLINE_TEST_DATA ?? '../shared/data';

/** The path of a file or folder of the test data, or null where there is none. */
export function testData(...parts: string[]): string | null {
  const path = join(FOLDER, ...parts);
  return FOLDER !== '' && existsSync(path) ? path : null;
}
