/**
 * Adding to a TFLite model without touching its bytes: metadata, constants, operators and a new list of outputs are
 * written in front of it, in a new root that refers to everything old where it lies.
 *
 * Source  TFLite schema, schema.fbs, identifier TFL3 (Apache-2.0). Field numbers below are the schema's.
 */
import { fieldAt, intsIn, referredBy, rootTable, tablesIn, textIn } from './flatbuffer-reader.ts';
import { bytes, type FlatField, type FlatNode, ints, kept, table, tables, text, writeFlatBuffer } from './flatbuffer-writer.ts';

const MODEL = { version: 0, codes: 1, subgraphs: 2, buffers: 4, metadata: 6 } as const;
const SUBGRAPH = { tensors: 0, inputs: 1, outputs: 2, operators: 3 } as const;
const TENSOR = { shape: 0, type: 1, buffer: 2, name: 3 } as const;
const SCHEMA_VERSION = 3;
const IDENTIFIER = 'TFL3';
const METADATA_NAME = 'TFLITE_METADATA';
/** By convention buffer 0 is empty and stands for "no constant". */
const NO_BUFFER = 0;

export type NewTensor = Readonly<{
  name: string;
  type: 'float32' | 'int32';
  shape: readonly number[];
  /** Little-endian values of a constant; null for a computed tensor. */
  constant: Uint8Array | null;
}>;

export type NewOperator = Readonly<{
  /** BuiltinOperator and BuiltinOptions numbers of the schema. */
  operator: number;
  options: number;
  optionFields: Readonly<Record<number, FlatField>>;
  inputs: readonly string[];
  outputs: readonly string[];
}>;

export type Addition = Readonly<{
  metadata: Uint8Array;
  tensors: readonly NewTensor[];
  operators: readonly NewOperator[];
  /** Names of the tensors the new model gives, in order; null keeps the old ones. */
  outputs: readonly string[] | null;
}>;

/** The model's output tensors, in order: name and shape. */
export function modelOutputs(model: Uint8Array): { name: string; shape: number[] }[] {
  const { view, subgraph, tensors } = opened(model);
  return intsIn(view, referredBy(view, subgraph, SUBGRAPH.outputs)).map((i) => ({
    name: textIn(view, referredBy(view, tensors[i], TENSOR.name)),
    shape: intsIn(view, referredBy(view, tensors[i], TENSOR.shape)),
  }));
}

/** A new model: the old one with the addition in front. Throws when a name is unknown. */
export function extendModel(model: Uint8Array, addition: Addition): Uint8Array {
  const { view, root, subgraph, tensors } = opened(model);
  const old = (owner: number, field: number): FlatNode => kept(referredBy(view, owner, field));
  const oldTables = (owner: number, field: number): FlatNode[] => tablesIn(view, referredBy(view, owner, field)).map(kept);

  const buffers = oldTables(root, MODEL.buffers);
  const addBuffer = (data: Uint8Array): number => buffers.push(table({ 0: bytes(data) })) - 1;
  const codes = oldTables(root, MODEL.codes);
  const addCode = (operator: number): number => codes.push(table({ 0: { byte: operator }, 2: { int: 1 }, 3: { int: operator } })) - 1;

  const index = new Map(tensors.map((t, i) => [textIn(view, referredBy(view, t, TENSOR.name)), i]));
  const at = (name: string): number => {
    const i = index.get(name);
    if (i === undefined) throw new Error(`the model has no tensor named ${name}`);
    return i;
  };
  const allTensors: FlatNode[] = tensors.map(kept);
  for (const t of addition.tensors) {
    index.set(t.name, allTensors.length);
    allTensors.push(
      table({
        [TENSOR.shape]: ints(t.shape),
        [TENSOR.type]: { byte: t.type === 'int32' ? 2 : 0 },
        [TENSOR.buffer]: { int: t.constant ? addBuffer(t.constant) : NO_BUFFER },
        [TENSOR.name]: text(t.name),
      }),
    );
  }
  const operators = oldTables(subgraph, SUBGRAPH.operators);
  for (const o of addition.operators) {
    operators.push(
      table({
        0: { int: addCode(o.operator) },
        1: ints(o.inputs.map(at)),
        2: ints(o.outputs.map(at)),
        3: { byte: o.options },
        4: table(o.optionFields),
      }),
    );
  }
  const newSubgraph = table({
    [SUBGRAPH.tensors]: tables(allTensors),
    [SUBGRAPH.inputs]: old(subgraph, SUBGRAPH.inputs),
    [SUBGRAPH.outputs]: addition.outputs ? ints(addition.outputs.map(at)) : old(subgraph, SUBGRAPH.outputs),
    [SUBGRAPH.operators]: tables(operators),
  });
  const metadata = table({ 0: text(METADATA_NAME), 1: { int: addBuffer(addition.metadata) } });
  return writeFlatBuffer(
    table({
      [MODEL.version]: { int: SCHEMA_VERSION },
      [MODEL.codes]: tables(codes),
      [MODEL.subgraphs]: tables([newSubgraph]),
      [MODEL.buffers]: tables(buffers),
      [MODEL.metadata]: tables([metadata]),
    }),
    IDENTIFIER,
    model,
  );
}

function opened(model: Uint8Array): { view: DataView; root: number; subgraph: number; tensors: number[] } {
  const view = new DataView(model.buffer, model.byteOffset, model.byteLength);
  const root = rootTable(view);
  if (new TextDecoder().decode(model.subarray(4, 8)) !== IDENTIFIER || fieldAt(view, root, MODEL.metadata) !== 0)
    throw new Error('this is not a plain TFLite model; install the pinned @mediapipe/face_mesh');
  const subgraphs = tablesIn(view, referredBy(view, root, MODEL.subgraphs));
  if (subgraphs.length !== 1) throw new Error(`the model has ${subgraphs.length} subgraphs, expected one`);
  const subgraph = subgraphs[0];
  return { view, root, subgraph, tensors: tablesIn(view, referredBy(view, subgraph, SUBGRAPH.tensors)) };
}
