/** What each sealed thing of the photographs, jobs and comparisons is bound to, so that none can be put in another's place. */

/** An original is bound to its content by its address, which is checked whenever it is read. */
export const PHOTO = 'photo';
export const previewPurpose = (sha256: string): string => `photo.preview:${sha256}`;
export const photoNamePurpose = (sha256: string): string => `photo.name:${sha256}`;
export const jobPurpose = (column: 'request' | 'result' | 'fault', id: string): string => `job.${column}:${id}`;
export const jobDigestPurpose = 'job.digest';
export const comparisonPurpose = (column: 'title' | 'comparison', id: string): string => `comparison.${column}:${id}`;
export const comparisonFilePurpose = (id: string, name: string): string => `comparison.file:${id}/${name}`;
