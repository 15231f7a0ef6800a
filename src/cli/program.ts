import { Argument, Command, Option } from 'commander';
import type { Unit } from '../geometry/scan.ts';
import { CHANGES } from '../measurands/changes.ts';
import { MEASURANDS } from '../measurands/measurands.ts';
import type { InstrumentClass } from '../measures/family.ts';
import { SOFTWARE } from '../records/software.ts';
import { SCHEMA_NAMES, type SchemaName } from '../records/schema-names.ts';
import { positiveNumber, seedNumber, wholeNumber } from './argument-types.ts';
import { CAUTION } from '../reports/cautions.ts';
import { wrapped } from '../reports/wrapped.ts';
import { SERIES_KINDS } from '../samples/series-kinds.ts';
import type { CompareCommandOptions } from './compare-command.ts';
import type { ExitCode } from './exit-code.ts';
import type { InspectCommandOptions } from './inspect-command.ts';
import { createLog, type LogOptions } from './log.ts';
import type { MeasureCommandOptions } from './measure-command.ts';
import type { RunCommandOptions } from './run-command.ts';
import type { SampleCommandOptions } from './sample-command.ts';
import type { CommandContext, Surroundings } from './surroundings.ts';

const CLASSES: readonly (InstrumentClass | 'auto')[] = ['violin', 'viola', 'cello', 'bass', 'auto'];
const SAMPLE_CLASSES: readonly InstrumentClass[] = ['violin', 'viola', 'cello', 'bass'];
const UNITS: readonly (Unit | 'auto')[] = ['mm', 'cm', 'm', 'in', 'auto'];

interface EverywhereOptions extends LogOptions {
  readonly stack?: boolean;
}

/** The command line. `onExit` hears the exit code of the command that ran. */
export function createProgram(surroundings: Surroundings, onExit: (code: ExitCode) => void): Command {
  const program = new Command('necksight')
    .description('Measures how the neck sits on a violin-family instrument, from a 3D scan.')
    .version(SOFTWARE.version)
    .showHelpAfterError('(necksight COMMAND --help tells more)')
    .configureOutput({ writeOut: surroundings.stdout, writeErr: surroundings.stderr })
    .exitOverride();

  /** Runs a command with its surroundings; each loads its code only now. */
  const run =
    <A extends readonly unknown[]>(action: (context: CommandContext, ...args: A) => Promise<ExitCode>) =>
    async (...args: unknown[]): Promise<void> => {
      const command = args.at(-1) as Command;
      const everywhere = command.opts<EverywhereOptions>();
      const context = { ...surroundings, log: createLog(everywhere, surroundings.stderr), stack: everywhere.stack === true };
      onExit(await action(context, ...(args.slice(0, -1) as unknown as A)));
    };

  withStated(command(program, 'measure', 'Measure scans and print a table, or one record a line.'))
    .argument('<scan...>', 'scans: STL, PLY, OBJ, PCD, glTF/GLB or text clouds, gzip of any')
    .option('--stop <mm>', 'bridge station: distance from the joint, mm', positiveNumber)
    .option('--bridge-height <mm>', 'height of the bridge where none is in the scan, mm', positiveNumber)
    .option('--json', 'print one record a line, in the order given')
    .option('--jobs <n>', 'worker processes for several scans (default: one a core)', wholeNumber)
    .addHelpText(
      'after',
      examples(
        'necksight measure violin.stl',
        'necksight measure --class cello --unit mm a.ply b.ply',
        'necksight measure --json *.stl > records.jsonl',
      ) + measurandList(),
    )
    .action(
      run(async (context, scans: string[], options: MeasureCommandOptions) =>
        (await import('./measure-command.ts')).measureCommand(scans, options, context),
      ),
    );

  withStated(command(program, 'inspect', 'Tell what a file is and what can be measured in it.'))
    .argument('<scan...>', 'scans')
    .option('--json', 'print one object a line, in the order given')
    .option('--jobs <n>', 'worker processes for several scans (default: one a core)', wholeNumber)
    .addHelpText('after', examples('necksight inspect violin.stl', 'necksight inspect --json scans/*.ply'))
    .action(
      run(async (context, scans: string[], options: InspectCommandOptions) =>
        (await import('./inspect-command.ts')).inspectCommand(scans, options, context),
      ),
    );

  withStated(command(program, 'compare', 'Compare later scans of one instrument with the first: what moved, and whether it is real.'))
    .argument('<baseline>', 'the first scan')
    .argument('<scan...>', 'later scans of the same instrument')
    .option('--stop <mm>', 'bridge station: distance from the joint, mm', positiveNumber)
    .option('--bridge-height <mm>', 'height of the bridge where none is in the scan, mm', positiveNumber)
    .option('--json', 'print one record a line, in the order given')
    .addHelpText(
      'after',
      examples('necksight compare 2024.ply 2026.ply', 'necksight compare --json before.stl after.stl > changes.jsonl') + changeList(),
    )
    .action(
      run(async (context, first: string, scans: string[], options: CompareCommandOptions) =>
        (await import('./compare-command.ts')).compareCommand(first, scans, options, context),
      ),
    );

  command(program, 'run', 'Run pipeline files: measure a catalogue of scans and write a report folder for each.')
    .argument('<pipeline...>', 'pipeline files (JSON)')
    .option('--out <dir>', 'report folder (default: reports/NAME)')
    .option('--jobs <n>', 'worker processes (default: one a core)', wholeNumber)
    .addHelpText('after', examples('necksight run pipelines/sample-survey.json', 'necksight run --jobs 4 --out reports/autumn autumn.json'))
    .action(
      run(async (context, files: string[], options: RunCommandOptions) =>
        (await import('./run-command.ts')).runCommand(files, options, context),
      ),
    );

  command(program, 'check', 'Validate pipeline files and catalogues without measuring.')
    .argument('<file...>', 'pipeline files or catalogues')
    .addHelpText('after', examples('necksight check pipelines/sample-survey.json', 'necksight check scans/catalogue.csv'))
    .action(run(async (context, files: string[]) => (await import('./check-command.ts')).checkCommand(files, context)));

  command(program, 'sample', 'Write sample scans of invented instruments, with their truth and a catalogue.')
    .argument('<dir>', 'folder to write into')
    .option('--count <n>', 'how many instruments (default: 12; with --series 1, or one of each kind)', wholeNumber)
    .option('--seed <n>', 'start of the random numbers (default: 1): the same one gives the same files', seedNumber)
    .addOption(new Option('--class <class>', 'instrument class').choices(SAMPLE_CLASSES).default('violin'))
    .addOption(new Option('--set <set>', 'how the neck is set').choices(['modern', 'early']).default('modern'))
    .addOption(
      new Option('--quality <quality>', 'clean: bare and little noise; ordinary: fitted up, noise and long-wave error')
        .choices(['clean', 'ordinary'])
        .default('ordinary'),
    )
    .addOption(
      new Option(
        '--series <kind>',
        'repeat scans of each instrument over the years, and what becomes of it (`all`: one kind after the other)',
      ).choices([...SERIES_KINDS, 'all']),
    )
    .option('--dates <n>', 'with --series: scans of each instrument (default: 8)', wholeNumber)
    .addHelpText(
      'after',
      examples(
        'necksight sample my-samples --count 3',
        'necksight sample my-cellos --class cello --set early --quality clean --seed 7',
        'necksight sample my-series --series sink-both --dates 6',
      ),
    )
    .action(
      run(async (context, dir: string, options: SampleCommandOptions) =>
        (await import('./sample-command.ts')).sampleCommand(dir, options, context),
      ),
    );

  command(program, 'schema', 'Print the JSON Schema of a file that necksight reads or writes.')
    .addArgument(new Argument('<name>', 'which file').choices(SCHEMA_NAMES))
    .addHelpText('after', examples('necksight schema record', 'necksight schema pipeline > pipeline.schema.json'))
    .action(run(async (context, name: SchemaName) => (await import('./schema-command.ts')).schemaCommand(name, context)));

  return program;
}

/** A command with the options that every command has. */
const command = (program: Command, name: string, description: string): Command =>
  program
    .command(name)
    .description(description)
    .option('--quiet', 'no progress and no warnings')
    .option('--stack', 'show where a fault in necksight itself came from')
    .addOption(new Option('--log-format <format>', 'messages as text or as JSON, one a line').choices(['text', 'json']).default('text'));

/** What may be stated about scans instead of being inferred. */
const withStated = (subcommand: Command): Command =>
  subcommand
    .addOption(new Option('--class <class>', 'instrument class').choices(CLASSES).default('auto'))
    .addOption(new Option('--unit <unit>', 'unit of the coordinates').choices(UNITS).default('auto'));

/** Every measurand by its id, as records and CSV have them. */
const measurandList = (): string =>
  ['', 'Measures (the README defines each):', ...wrapped(MEASURANDS.map(({ id }) => id).join(', '), '  ')].join('\n');

/** Every change measurand by its id. */
const changeList = (): string =>
  ['', 'Changes (the README defines each):', ...wrapped(CHANGES.map(({ id }) => id).join(', '), '  ')].join('\n');

const examples = (...lines: readonly string[]): string => `\nExamples:\n${lines.map((line) => `  ${line}`).join('\n')}\n\n${CAUTION}`;
