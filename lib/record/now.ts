/** The only clock of the record: ISO 8601 in UTC, to the millisecond. */
export const now = (): string => new Date().toISOString();

/** The moment `ms` milliseconds ago. */
export const ago = (ms: number): string => new Date(Date.now() - ms).toISOString();
