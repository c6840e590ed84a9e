/** The files of a drop, folders opened to any depth; and which of them can be photographs by their names. */
import { PHOTO_ENDINGS } from '#shared/upload.ts';

const MOST_FILES = 2000;
const ENDINGS = PHOTO_ENDINGS.split(',');

export const canBePhoto = ({ name }: { name: string }): boolean => ENDINGS.some((ending) => name.toLowerCase().endsWith(ending));

export type DroppedFile = Readonly<{
  file: File;
  /** From what was dropped, with forward slashes: `study/a/before.jpg`. */
  path: string;
}>;

/** Must be called while the drop is being handled: the browser forgets the list afterwards. */
export async function droppedFiles(data: DataTransfer): Promise<File[]> {
  return (await droppedPaths(data)).map(({ file }) => file);
}

/** The same with the place of each. */
export async function droppedPaths(data: DataTransfer): Promise<DroppedFile[]> {
  const entries = [...data.items].flatMap((item) => item.webkitGetAsEntry?.() ?? []);
  if (entries.length === 0) return chosenPaths(data.files);
  const files: DroppedFile[] = [];
  for (const entry of entries) await collect(entry, files);
  return files;
}

/** Of a chooser; of a folder it tells the place of each file. */
export const chosenPaths = (files: FileList | null): DroppedFile[] =>
  [...(files ?? [])].map((file) => ({ file, path: file.webkitRelativePath || file.name }));

async function collect(entry: FileSystemEntry, into: DroppedFile[]): Promise<void> {
  if (into.length >= MOST_FILES) return;
  if (entry.isFile) {
    const file = await new Promise<File | null>((resolve) => (entry as FileSystemFileEntry).file(resolve, () => resolve(null)));
    if (file) into.push({ file, path: entry.fullPath.replace(/^\/+/, '') });
    return;
  }
  const reader = (entry as FileSystemDirectoryEntry).createReader();
  for (;;) {
    // A reader hands out a folder in pieces, and an empty piece at its end.
    const piece = await new Promise<FileSystemEntry[]>((resolve) => reader.readEntries(resolve, () => resolve([])));
    if (piece.length === 0) return;
    for (const inside of piece) await collect(inside, into);
  }
}
