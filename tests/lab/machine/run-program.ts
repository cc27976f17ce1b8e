import { execFile } from 'node:child_process';

export interface ProgramOptions {
  readonly folder?: string;
  readonly deadlineMs?: number;
}

/** Runs a program of this computer to its end and gives what it printed; throws when it fails. */
export function runProgram(
  command: readonly [string, ...string[]],
  options: ProgramOptions = {},
): Promise<string> {
  const [program, ...words] = command;
  return new Promise((resolve, reject) => {
    const settings = {
      ...(options.folder === undefined ? {} : { cwd: options.folder }),
      timeout: options.deadlineMs ?? 120_000,
      maxBuffer: 64 * 1024 * 1024,
    };
    execFile(program, words, settings, (error, printed, complaints) => {
      if (error === null) resolve(printed);
      else reject(new Error(`"${command.join(' ')}" failed: ${error.message}\n${complaints}`));
    });
  });
}
