import { parseArgs } from 'node:util';
import { exitCodes, UserError } from '../checks/user-error.js';

/** What a command line says, split once and checked; commands only see this. */
export interface CommandLine {
  readonly command: string;
  readonly words: readonly string[];
  readonly config: string | undefined;
  readonly store: string | undefined;
  readonly socket: string | undefined;
  readonly port: number | undefined;
  readonly json: boolean;
  readonly help: boolean;
  readonly file: string | undefined;
  readonly only: string | undefined;
  readonly erase: boolean;
  readonly wake: boolean;
  /** Name of the figure whose bytes are wanted. */
  readonly bytes: string | undefined;
}

const options = {
  config: { type: 'string' },
  store: { type: 'string' },
  socket: { type: 'string' },
  port: { type: 'string' },
  json: { type: 'boolean', default: false },
  help: { type: 'boolean', short: 'h', default: false },
  file: { type: 'string' },
  only: { type: 'string' },
  erase: { type: 'boolean', default: false },
  wake: { type: 'boolean', default: false },
  bytes: { type: 'string' },
} as const;

export function badInput(text: string, hint?: string): UserError {
  return new UserError('bad-input', text, {
    exitCode: exitCodes.badInput,
    ...(hint === undefined ? {} : { hint }),
  });
}

export function readCommandLine(argv: readonly string[]): CommandLine {
  const { values, positionals } = split(argv);
  const [command = 'help', ...words] = positionals;
  return {
    command,
    words,
    config: values.config,
    store: values.store,
    socket: values.socket,
    port: readPort(values.port),
    json: values.json,
    help: values.help,
    file: values.file,
    only: values.only,
    erase: values.erase,
    wake: values.wake,
    bytes: values.bytes,
  };
}

function split(argv: readonly string[]) {
  try {
    return parseArgs({ args: [...argv], options, allowPositionals: true, strict: true });
  } catch (error) {
    const text = error instanceof Error ? (error.message.split('. ')[0] ?? '') : String(error);
    throw badInput(
      text,
      `Options are ${Object.keys(options)
        .map((name) => `--${name}`)
        .join(' ')}`,
    );
  }
}

function readPort(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const port = Number(text);
  if (!Number.isInteger(port) || port < 0 || port > 65_535) {
    throw badInput(`Option --port expects a number from 0 to 65535, found "${text}"`);
  }
  return port;
}
