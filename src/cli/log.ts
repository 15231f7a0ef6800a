/** Where messages go: standard error, as text or as one JSON object a line. Standard output carries results alone. */
export interface Log {
  /** Progress and other news; silent with --quiet. */
  readonly info: (message: string) => void;
  /** Something a user should know about a result. */
  readonly warn: (message: string) => void;
  readonly error: (message: string) => void;
}

export interface LogOptions {
  readonly quiet?: boolean;
  readonly logFormat?: 'text' | 'json';
}

export function createLog(options: LogOptions, write: (text: string) => void): Log {
  const say =
    options.logFormat === 'json'
      ? (level: string, message: string) => write(`${JSON.stringify({ level, message })}\n`)
      : (level: string, message: string) => write(`${level === 'info' ? '' : `${level}: `}${message}\n`);
  return {
    info: options.quiet === true ? () => undefined : (message) => say('info', message),
    warn: options.quiet === true ? () => undefined : (message) => say('warning', message),
    error: (message) => say('error', message),
  };
}
