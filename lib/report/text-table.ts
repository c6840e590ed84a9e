/** A table for a terminal: columns as wide as their widest cell, two spaces between, no colour. */

export type Column = Readonly<{ head: string; align: 'left' | 'right' }>;

/** Rows of cells become lines. Throws RangeError when a row has another number of cells than there are columns. */
export function textTable(columns: readonly Column[], rows: readonly (readonly string[])[]): string[] {
  const ragged = rows.find((row) => row.length !== columns.length);
  if (ragged) throw new RangeError(`a row has ${ragged.length} cells, and there are ${columns.length} columns`);
  const widths = columns.map((column, k) => Math.max(...[column.head, ...rows.map((row) => row[k]!)].map((cell) => [...cell].length)));
  const line = (cells: readonly string[]): string =>
    cells
      .map((cell, k) => pad(cell, widths[k]!, columns[k]!.align))
      .join('  ')
      .trimEnd();
  return [line(columns.map((column) => column.head)), line(widths.map((width) => '\u2500'.repeat(width))), ...rows.map(line)];
}

/** By code points, which is right for all that is printed here: nothing is double-width or combining. */
function pad(cell: string, width: number, align: Column['align']): string {
  const gap = ' '.repeat(width - [...cell].length);
  return align === 'left' ? cell + gap : gap + cell;
}

/** Breaks text into lines of at most `width` characters, between words. */
export function wrap(text: string, width: number, indent = ''): string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/ +/)) {
    if (line && [...`${line} ${word}`].length > width - indent.length) {
      lines.push(indent + line);
      line = word;
    } else line = line ? `${line} ${word}` : word;
  }
  return line ? [...lines, indent + line] : lines;
}
