import { readModelFile } from '../agent/model-file.js';
import { readPartClasses } from '../agent/part-classes.js';
import { estimate } from '../checks/model/estimate/estimate.js';
import { estimateLines } from '../checks/model/estimate/lines.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { badInput, type CommandLine } from './options.js';

/** What a build model can be expected to reach; needs no box, no privileges and no store. */
export async function estimateModel(line: CommandLine): Promise<ExitCode> {
  const [file, ...more] = line.words;
  if (file === undefined || more.length > 0) {
    throw badInput('Command estimate expects the name of one model file');
  }
  const model = readModelFile(file);
  if (model === null) throw badInput(`The model file ${file} is not there`);
  const found = estimate(model, { classes: readPartClasses() });
  const lines = line.json ? [JSON.stringify(found)] : estimateLines(found);
  for (const text of lines) console.log(text);
  return exitCodes.done;
}
