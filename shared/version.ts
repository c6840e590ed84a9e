/** The program's version, kept equal to package.json's by a test, so that a bundle needs no file to know it. */
export const EBBLINE_VERSION = '0.1.0';
