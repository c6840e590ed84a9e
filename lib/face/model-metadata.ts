/**
 * The metadata a model must carry before the landmark engine accepts it: how pixels become the input tensor.
 *
 * Model   input = (pixel - mean) / std, pixels 0..255, channels R, G, B.
 * Source  TFLite metadata schema, metadata_schema.fbs, identifier M001 (Apache-2.0).
 */
import { type FlatNode, floats, table, tables, text, writeFlatBuffer } from './flatbuffer-writer.ts';

/** `mean` and `std` in units of the pixel values 0..255. */
export type InputScaling = Readonly<{ mean: number; std: number }>;

const IDENTIFIER = 'M001';
const CONTENT_IMAGE = 2; // ContentProperties.ImageProperties
const COLOUR_RGB = 1; // ColorSpaceType.RGB
const PROCESS_NORMALISE = 1; // ProcessUnitOptions.NormalizationOptions

/** The bytes of a `TFLITE_METADATA` buffer for a model with one RGB image input. */
export function inputMetadata(name: string, scaling: InputScaling, outputs: readonly string[]): Uint8Array {
  const image = table({ 0: { byte: COLOUR_RGB } });
  const normalise = table({ 0: floats([scaling.mean]), 1: floats([scaling.std]) });
  const input = table({
    0: text('image'),
    3: table({ 0: { byte: CONTENT_IMAGE }, 1: image }),
    4: tables([table({ 0: { byte: PROCESS_NORMALISE }, 1: normalise })]),
  });
  const output = (label: string): FlatNode => table({ 0: text(label) });
  const subgraph = table({ 2: tables([input]), 3: tables(outputs.map(output)) });
  return writeFlatBuffer(table({ 0: text(name), 3: tables([subgraph]) }), IDENTIFIER);
}
