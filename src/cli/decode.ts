import { parseCaptureFile } from '../agent/box/layouts/capture-file.js';
import { interpret } from '../agent/probes/interpret.js';
import type { Capture } from '../checks/capture.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { bytesJson, bytesLines, figureBytesIn } from './decode-bytes.js';
import { captureLines } from './decode-lines.js';

export interface DecodeOptions {
  readonly file: string;
  readonly json: boolean;
  /** Name of the figure whose bytes are wanted in place of all readings. */
  readonly bytes?: string | undefined;
  readonly read: (path: string) => string;
  readonly print: (line: string) => void;
}

/** Turns a captured file back into readings. Reads nothing but the file and judges nothing. */
export function decodeCommand(options: DecodeOptions): ExitCode {
  const capture = parseCaptureFile(options.read(options.file));
  const lines =
    options.bytes === undefined ? allLines(capture, options) : oneLines(capture, options);
  for (const line of lines) options.print(line);
  return exitCodes.done;
}

function allLines(capture: Capture, { json }: DecodeOptions): readonly string[] {
  const found = interpret(capture);
  return json ? [JSON.stringify(found)] : captureLines(capture, found);
}

function oneLines(capture: Capture, { json, bytes = '' }: DecodeOptions): readonly string[] {
  const found = figureBytesIn(capture, bytes);
  return json ? [bytesJson(found)] : bytesLines(found);
}
