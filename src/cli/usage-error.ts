/** What was asked for cannot be started: arguments, a catalogue or a pipeline file is wrong. One problem a line. */
export class UsageError extends Error {
  constructor(problems: string | readonly string[]) {
    super(typeof problems === 'string' ? problems : problems.join('\n'));
    this.name = 'UsageError';
  }
}
