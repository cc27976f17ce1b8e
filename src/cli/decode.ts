import { parseCaptureFile } from '../agent/box/layouts/capture-file.js';
import { interpret } from '../agent/probes/interpret.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { captureLines } from './decode-lines.js';

export interface DecodeOptions {
  readonly file: string;
  readonly json: boolean;
  readonly read: (path: string) => string;
  readonly print: (line: string) => void;
}

/** Turns a captured file back into readings. Reads nothing but the file and judges nothing. */
export function decodeCommand(options: DecodeOptions): ExitCode {
  const capture = parseCaptureFile(options.read(options.file));
  const found = interpret(capture);
  const lines = options.json ? [JSON.stringify(found)] : captureLines(capture, found);
  for (const line of lines) options.print(line);
  return exitCodes.done;
}
