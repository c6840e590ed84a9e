'use client';
/** What makes a section take files that are dropped on it; `over` while some are held above it. */
import { type DragEvent, useState } from 'react';

export function useFileDrop(onDrop: (transfer: DataTransfer) => void) {
  const [over, setOver] = useState(false);
  const drag = (event: DragEvent) => {
    if (!event.dataTransfer.types.includes('Files')) return;
    event.preventDefault();
    event.dataTransfer.dropEffect = 'copy';
    setOver(true);
  };
  return {
    over,
    handlers: {
      onDragEnter: drag,
      onDragOver: drag,
      onDragLeave: (event: DragEvent) => event.currentTarget.contains(event.relatedTarget as Node | null) || setOver(false),
      onDrop: (event: DragEvent) => {
        event.preventDefault();
        setOver(false);
        onDrop(event.dataTransfer);
      },
    },
  };
}
