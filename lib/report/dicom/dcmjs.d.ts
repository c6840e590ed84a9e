/** The part of dcmjs that is used here; the package brings no types. */
declare module 'dcmjs' {
  type Denaturalised = Record<string, { vr: string; Value: unknown[] }>;
  class DicomDict {
    constructor(meta: Denaturalised);
    dict: Denaturalised;
    write(options?: { fragmentMultiframe?: boolean; allowInvalidVRLength?: boolean }): ArrayBuffer;
  }
  const dcmjs: {
    data: {
      DicomDict: typeof DicomDict;
      DicomMetaDictionary: { denaturalizeDataset(dataset: Record<string, unknown>): Denaturalised };
    };
  };
  export default dcmjs;
}
