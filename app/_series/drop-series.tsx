'use client';
/** Where a folder with a manifest and its photographs is dropped or chosen. */
import { type DragEvent, useRef, useState } from 'react';
import { chosenPaths, type DroppedFile, droppedPaths } from '#app/_case/dropped-files.ts';
import css from './series.module.css';

export function DropSeries({ words, onFiles }: { words: string; onFiles: (files: readonly DroppedFile[]) => void }) {
  const folder = useRef<HTMLInputElement>(null);
  const [over, setOver] = useState(false);
  const drag = (event: DragEvent) => {
    if (!event.dataTransfer.types.includes('Files')) return;
    event.preventDefault();
    event.dataTransfer.dropEffect = 'copy';
    setOver(true);
  };
  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    void droppedPaths(event.dataTransfer).then(onFiles);
  };
  return (
    <section
      aria-label="Manifest and photographs"
      className={`${css.drop} ${over ? css.over : ''}`}
      onDragEnter={drag}
      onDragOver={drag}
      onDragLeave={(event) => event.currentTarget.contains(event.relatedTarget as Node | null) || setOver(false)}
      onDrop={drop}
    >
      <p>{words || 'Drop the folder here that holds the manifest and the photographs it names.'}</p>
      <button type="button" onClick={() => folder.current?.click()}>
        Choose the folder
      </button>
      <input
        ref={folder}
        className="unseen"
        type="file"
        multiple
        tabIndex={-1}
        aria-hidden="true"
        data-series="folder"
        {...{ webkitdirectory: '' }}
        onChange={(event) => {
          onFiles(chosenPaths(event.target.files));
          event.target.value = '';
        }}
      />
    </section>
  );
}
