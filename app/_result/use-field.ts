'use client';
/** The displacement field's files: the evidence of every zone, and the surface with the photograph that lies on it. */
import { type Evidence, evidenceSchema, FIELD_FILES } from '#shared/field.ts';
import type { PlateInfo } from '#shared/plates.ts';
import { decodeSurface } from '#shared/surface-bytes.ts';
import { loadInfo, loadPicture, unpacked } from './plate-file.ts';
import { type SurfaceMesh, surfaceMesh } from './surface-mesh.ts';
import { useLoaded } from './use-plate.ts';

async function fetched(id: string, file: string, signal: AbortSignal): Promise<Response> {
  const response = await fetch(`/api/comparisons/${id}/files/${file}`, { signal });
  if (!response.ok) throw new Error(`${file} could not be loaded`);
  return response;
}

/** Null while it loads, and where there is none. */
export function useEvidence(id: string, there: boolean): Evidence | null {
  return useLoaded(there ? `${id} evidence` : null, async (signal) =>
    evidenceSchema.parse(await (await fetched(id, FIELD_FILES.evidence, signal)).json()),
  ).value;
}

export type ShownSurface = Readonly<{ mesh: SurfaceMesh; photo: ImageBitmap; info: PlateInfo }>;

export function useSurface(id: string): { surface: ShownSurface | null; failed: boolean } {
  const loaded = useLoaded(`${id} surface`, async (signal): Promise<ShownSurface> => {
    const surface = decodeSurface(await unpacked(await fetched(id, FIELD_FILES.surface, signal)));
    const address = { id, view: surface.view };
    const [photo, info] = await Promise.all([loadPicture(address, 'before', signal), loadInfo(address, signal)]);
    return { mesh: surfaceMesh(surface), photo, info };
  });
  return { surface: loaded.value, failed: loaded.failed };
}
