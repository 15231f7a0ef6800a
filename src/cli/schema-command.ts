import { jsonSchema } from '../batch/json-schema.ts';
import type { SchemaName } from '../records/schema-names.ts';
import { EXIT, type ExitCode } from './exit-code.ts';
import type { CommandContext } from './surroundings.ts';

/** `necksight schema NAME`: the JSON Schema of a file that is read or written. */
export async function schemaCommand(name: SchemaName, context: CommandContext): Promise<ExitCode> {
  context.stdout(`${JSON.stringify(jsonSchema(name), undefined, 2)}\n`);
  return EXIT.done;
}
