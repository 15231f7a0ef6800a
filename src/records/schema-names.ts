/** Files that have a JSON Schema. */
export const SCHEMA_NAMES = ['record', 'comparison', 'figures', 'pipeline', 'catalogue', 'run'] as const;

export type SchemaName = (typeof SCHEMA_NAMES)[number];
