import { z } from 'zod';
import { COMPARISON } from '../records/comparison-schema.ts';
import { FIGURES } from '../records/figures-schema.ts';
import { RECORD } from '../records/record-schema.ts';
import { RUN_FILE } from '../records/run-file-schema.ts';
import type { SchemaName } from '../records/schema-names.ts';
import { CATALOGUE } from './catalogue-schema.ts';
import { PIPELINE } from './pipeline-schema.ts';

const SCHEMAS: Readonly<Record<SchemaName, z.ZodType>> = {
  record: RECORD,
  comparison: COMPARISON,
  figures: FIGURES,
  pipeline: PIPELINE,
  catalogue: CATALOGUE,
  run: RUN_FILE,
};

/** The JSON Schema (draft 2020-12) of a file, as it is before parsing. */
export const jsonSchema = (name: SchemaName): object => ({ title: name, ...z.toJSONSchema(SCHEMAS[name], { io: 'input' }) });
