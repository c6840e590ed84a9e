/** The record that pages and routes read and write: one per process, opened when it is first asked for. */
import { sharedRecord } from '#lib/record/open.ts';
import type { RecordStore } from '#lib/record/types.ts';

export const record = (): RecordStore => sharedRecord();
