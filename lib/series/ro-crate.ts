/**
 * What a reviewer needs to tell where the tables come from: an RO-Crate with the hashes of inputs, tables and software.
 * Nothing of it is asked of the clock or the machine's name, so the same run describes itself in the same bytes.
 * Source  RO-Crate Metadata Specification 1.1; terms of schema.org.
 */

export type CrateFile = Readonly<{ file: string; about: string; mediaType: string; bytes: number; sha256: string }>;

export type CrateFacts = Readonly<{
  title: string;
  about: string;
  /** A day, or a year; null when no photograph and no manifest says when. Never the day of the run. */
  published: string | null;
  tables: readonly CrateFile[];
  /** The manifest; null where it stays behind. Its bytes are not part of the crate, its hash is. */
  manifest: Readonly<{ name: string; sha256: string }> | null;
  /** Of the files that measure, and of the list of packages with their hashes. */
  software: Readonly<{
    version: string;
    sourceSha256: string;
    packagesSha256: string;
    node: string;
    models: Readonly<Record<string, string>>;
  }>;
  /** What every pair was asked, as text by its name. */
  parameters: Readonly<Record<string, string>>;
}>;

const id = (name: string): Readonly<{ '@id': string }> => ({ '@id': name });

/** For `ro-crate-metadata.json`. */
export function roCrate(facts: CrateFacts): unknown {
  const { title, about, published, tables, manifest, software, parameters } = facts;
  const manifestId = '#manifest';
  const settings = Object.entries(parameters).map(([name, value]) => ({
    '@id': `#parameter-${name}`,
    '@type': 'PropertyValue',
    name,
    value,
  }));
  const models = Object.entries(software.models)
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([name, sha256]) => ({
      '@id': `#model-${name}`,
      '@type': 'SoftwareSourceCode',
      name: `landmark model ${name}`,
      identifier: `sha256:${sha256}`,
    }));
  return {
    '@context': 'https://w3id.org/ro/crate/1.1/context',
    '@graph': [
      {
        '@id': 'ro-crate-metadata.json',
        '@type': 'CreativeWork',
        conformsTo: id('https://w3id.org/ro/crate/1.1'),
        about: id('./'),
      },
      {
        '@id': './',
        '@type': 'Dataset',
        name: title,
        description: about,
        ...(published ? { datePublished: published } : {}),
        license: 'No licence for reuse is given here; ask whoever collected the photographs.',
        hasPart: tables.map(({ file }) => id(file)),
        mentions: id('#run'),
      },
      ...tables.map(({ file, about: description, mediaType, bytes, sha256 }) => ({
        '@id': file,
        '@type': 'File',
        name: file,
        description,
        encodingFormat: mediaType,
        contentSize: String(bytes),
        sha256,
      })),
      ...(manifest
        ? [
            {
              '@id': manifestId,
              '@type': 'CreativeWork',
              name: manifest.name,
              description: 'The manifest of the series',
              sha256: manifest.sha256,
            },
          ]
        : []),
      {
        '@id': '#ebbline',
        '@type': 'SoftwareApplication',
        name: 'Ebbline',
        softwareVersion: software.version,
        softwareRequirements: `Node ${software.node}`,
        identifier: [
          `sha256:${software.sourceSha256} of the source that measures`,
          `sha256:${software.packagesSha256} of the list of packages`,
        ],
        ...(models.length > 0 ? { hasPart: models.map((model) => id(model['@id'])) } : {}),
      },
      ...models,
      ...settings,
      {
        '@id': '#run',
        '@type': 'CreateAction',
        name: 'Measurement of the series',
        instrument: id('#ebbline'),
        object: [...(manifest ? [id(manifestId)] : []), ...settings.map((one) => id(one['@id']))],
        result: tables.map(({ file }) => id(file)),
      },
    ],
  };
}
