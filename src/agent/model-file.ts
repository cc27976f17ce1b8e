import { readFileSync } from 'node:fs';
import { type BoxModel, parseModel } from '../checks/model/parse.js';
import { exitCodes, UserError } from '../checks/user-error.js';

const modelBytesMax = 1024 * 1024;

/**
 * Reads the build model. A file that is not there is no error: the box is then watched without
 * expectations of its own. A file that is there and wrong stops the start, with every complaint.
 */
export function readModelFile(path: string): BoxModel | null {
  const text = readText(path);
  if (text === null) return null;
  const parsed = parseModel(text, path);
  if ('model' in parsed) return parsed.model;
  const list = parsed.complaints.map((complaint) => `  ${complaint.text}`).join('\n');
  throw new UserError('bad-model', `The model file ${path} cannot be used:\n${list}`, {
    exitCode: exitCodes.badInput,
    hint: 'Correct the lines named above; config/box.example.toml shows every key',
  });
}

function readText(path: string): string | null {
  try {
    const bytes = readFileSync(path);
    if (bytes.length > modelBytesMax) {
      throw new UserError(
        'bad-model',
        `The model file ${path} is ${bytes.length} bytes long, expected at most ${modelBytesMax}`,
        { exitCode: exitCodes.badInput, hint: 'Is this the right file?' },
      );
    }
    return bytes.toString('utf8');
  } catch (error) {
    if (error instanceof UserError) throw error;
    const code = (error as NodeJS.ErrnoException).code;
    if (code === 'ENOENT') return null;
    throw new UserError('bad-model', `The model file ${path} could not be read: ${code}`, {
      exitCode: code === 'EACCES' ? exitCodes.noPrivilege : exitCodes.badInput,
    });
  }
}
