import { readModelFile } from '../agent/model-file.js';
import { takeInventory } from '../agent/probes/inventory.js';
import { thisBox } from '../agent/this-box.js';
import type { ExitCode } from '../checks/user-error.js';
import type { CommandLine } from './options.js';
import { placesOf } from './places-of.js';
import { scanCommand } from './scan.js';
import { writeNewFile } from './write-new-file.js';

/** Scans the box that this runs on. */
export async function scanThisBox(line: CommandLine): Promise<ExitCode> {
  const { box, clock } = thisBox();
  const { modelFile } = placesOf(line);
  return scanCommand({
    inventory: () => takeInventory(box),
    modelPath: modelFile,
    readModel: () => readModelFile(modelFile),
    writeNew: (text) => writeNewFile(modelFile, text),
    today: new Date(clock.wallMs()).toISOString().slice(0, 10),
    print: (text) => console.log(text),
    json: line.json,
  });
}
