'use client';
/** Where a folder with a manifest and its photographs is dropped or chosen. */
import { useRef } from 'react';
import { chosenPaths, type DroppedFile, droppedPaths } from '#app/_case/dropped-files.ts';
import { useFileDrop } from '#app/_parts/use-file-drop.ts';
import css from './series.module.css';

export function DropSeries({ words, onFiles }: { words: string; onFiles: (files: readonly DroppedFile[]) => void }) {
  const folder = useRef<HTMLInputElement>(null);
  const { over, handlers } = useFileDrop((transfer) => void droppedPaths(transfer).then(onFiles));
  return (
    <section aria-label="Manifest and photographs" className={`${css.drop} ${over ? css.over : ''}`} {...handlers}>
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
