import { readFileSync, statSync } from 'node:fs';
import { type ExitCode, exitCodes, UserError } from '../checks/user-error.js';
import { decodeCommand } from './decode.js';
import { badInput, type CommandLine } from './options.js';

const captureBytesMax = 64 * 1024 * 1024;

/** Reads the captured file that was named and prints its readings. */
export async function decodeFile(line: CommandLine): Promise<ExitCode> {
  const [file] = line.words;
  if (file === undefined) throw badInput('Command decode expects the name of a captured file');
  return decodeCommand({
    file,
    json: line.json,
    bytes: line.bytes,
    read: readCapture,
    print: (text) => console.log(text),
  });
}

function readCapture(path: string): string {
  try {
    const { size } = statSync(path);
    if (size > captureBytesMax) {
      throw badInput(`The file ${path} is ${size} bytes long, expected at most ${captureBytesMax}`);
    }
    return readFileSync(path, 'utf8');
  } catch (error) {
    if (error instanceof UserError) throw error;
    const code = (error as NodeJS.ErrnoException).code;
    throw new UserError('file-unreadable', `The file ${path} could not be read: ${code}`, {
      exitCode: code === 'EACCES' ? exitCodes.noPrivilege : exitCodes.badInput,
    });
  }
}
