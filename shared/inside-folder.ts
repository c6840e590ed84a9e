/** Whether a file name from a manifest stays in the folder that it is to be looked for in, whatever the system. */

/** Relative, forward slashes, and never up; `a/../b` is refused too, because nobody means it. */
export function insideFolder(file: string): boolean {
  if (file === '' || /[\\\0]/.test(file) || /^[a-z]:/i.test(file) || file.startsWith('/')) return false;
  return file.split('/').every((part) => part !== '..' && part !== '.' && part !== '');
}
