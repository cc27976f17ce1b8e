/** Opens the store as a reader and prints what it finds, or the code of the error. */
import { readdirSync } from 'node:fs';
import { dirname } from 'node:path';
import { openReader } from '../../../src/agent/store/read.js';
import { UserError } from '../../../src/checks/user-error.js';

const [path = ''] = process.argv.slice(2);
try {
  const reader = openReader(path);
  const [part] = reader.parts();
  const values = part === undefined ? [] : reader.latest(part.id).map(({ value }) => value);
  const files = readdirSync(dirname(path));
  console.log(JSON.stringify({ values, writerPresent: reader.writerPresent, files }));
  reader.close();
} catch (error) {
  if (!(error instanceof UserError)) throw error;
  console.log(JSON.stringify({ refused: error.code, exitCode: error.exitCode }));
}
