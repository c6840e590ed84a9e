'use client';
/** Where photographs come in: drop files or a folder, choose them, or choose a whole folder. */
import { useRef } from 'react';
import { useFileDrop } from '#app/_parts/use-file-drop.ts';
import { PHOTO_ENDINGS } from '#shared/upload.ts';
import css from './case.module.css';
import { droppedFiles } from './dropped-files.ts';

export function DropPlace({ onFiles }: { onFiles: (files: readonly File[]) => void }) {
  const files = useRef<HTMLInputElement>(null);
  const folder = useRef<HTMLInputElement>(null);
  const { over, handlers } = useFileDrop((transfer) => void droppedFiles(transfer).then(onFiles));
  const chosen = (input: HTMLInputElement) => {
    onFiles([...(input.files ?? [])]);
    input.value = '';
  };
  return (
    <section aria-label="Add photographs" className={`${css.drop} ${over ? css.over : ''}`} {...handlers}>
      <p>Drop photographs here, or a whole folder: of all visits and all views together.</p>
      <div className="row">
        <button type="button" className="main" onClick={() => files.current?.click()}>
          Choose photographs
        </button>
        <button type="button" onClick={() => folder.current?.click()}>
          Choose a folder
        </button>
      </div>
      <p className="small soft">
        JPEG, PNG, WebP, TIFF, HEIC or DICOM, as they came from the camera. The day comes from the file, the view from the pose.
      </p>
      <input
        ref={files}
        className="unseen"
        type="file"
        multiple
        accept={PHOTO_ENDINGS}
        tabIndex={-1}
        aria-hidden="true"
        data-import="files"
        onChange={(event) => chosen(event.target)}
      />
      <input
        ref={folder}
        className="unseen"
        type="file"
        multiple
        tabIndex={-1}
        aria-hidden="true"
        data-import="folder"
        {...{ webkitdirectory: '' }}
        onChange={(event) => chosen(event.target)}
      />
    </section>
  );
}
