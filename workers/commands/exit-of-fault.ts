/** Which exit code a refused photograph has. */
import type { CompareFault } from '#lib/compare/sight-all.ts';
import { FACE_FAULTS } from '#lib/face/types.ts';
import { EXIT, type ExitCode } from './command.ts';

/** A readable picture without one usable face cannot be compared; everything else could not be read. */
export function exitOfFault(why: CompareFault): ExitCode {
  return (FACE_FAULTS as readonly string[]).includes(why) ? EXIT.notComparable : EXIT.unreadable;
}
