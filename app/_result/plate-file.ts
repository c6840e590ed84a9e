/** Fetching the files of one view, and opening them without holding up the page. */

import type { View } from '#shared/comparison.ts';
import { decodeField } from '#shared/plate-fields.ts';
import { type PlateInfo, type PlatePart, plateFileName, plateInfoSchema } from '#shared/plates.ts';

export type PlateAddress = Readonly<{ id: string; view: View }>;

export const plateHref = ({ id, view }: PlateAddress, part: PlatePart): string =>
  `/api/comparisons/${id}/files/${plateFileName(view, part)}`;

async function fetched(address: PlateAddress, part: PlatePart, signal: AbortSignal): Promise<Response> {
  const response = await fetch(plateHref(address, part), { signal });
  if (!response.ok) throw new Error(`${plateFileName(address.view, part)} could not be loaded`);
  return response;
}

export async function loadInfo(address: PlateAddress, signal: AbortSignal): Promise<PlateInfo> {
  return plateInfoSchema.parse(await (await fetched(address, 'info', signal)).json());
}

/** Decoded off the main thread by the browser. */
export async function loadPicture(address: PlateAddress, part: PlatePart, signal: AbortSignal): Promise<ImageBitmap> {
  return createImageBitmap(await (await fetched(address, part, signal)).blob());
}

export async function loadBytes(address: PlateAddress, part: PlatePart, signal: AbortSignal): Promise<Uint8Array> {
  return unpacked(await fetched(address, part, signal));
}

/** Gzipped bytes, unpacked as they stream in. */
export async function unpacked(response: Response): Promise<Uint8Array> {
  return new Uint8Array(await new Response(response.body!.pipeThrough(new DecompressionStream('gzip'))).arrayBuffer());
}

export async function loadField(
  address: PlateAddress,
  part: 'displacement' | 'lightness',
  step: number,
  signal: AbortSignal,
): Promise<Float32Array> {
  return decodeField(await loadBytes(address, part, signal), step);
}
