import { endProcess } from '../agent/box/end-process.js';
import { formatCaptureFile } from '../agent/box/layouts/capture-file.js';
import { collectPages } from '../agent/probes/collect-pages.js';
import { takeInventory } from '../agent/probes/inventory.js';
import { thisBox } from '../agent/this-box.js';
import { pickDrive } from '../checks/pick-drive.js';
import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { badInput, type CommandLine } from './options.js';
import { writeNewFile } from './write-new-file.js';

/** Writes the raw records of one drive to a file or to the terminal. */
export async function capture(line: CommandLine): Promise<ExitCode> {
  const [word] = line.words;
  if (word === undefined) {
    throw badInput('Command capture expects a serial number', 'bayward scan lists them');
  }
  const { box, clock } = thisBox();
  const drive = pickDrive((await takeInventory(box)).drives, word);
  if (drive.notVisibleWhy !== null) throw badInput(drive.notVisibleWhy);
  const collected = await collectPages(box, drive, {
    taken: new Date(clock.wallMs()).toISOString(),
    rare: true,
    skipIfAsleep: !line.wake,
  });
  const text = formatCaptureFile(collected.capture);
  if (line.file === undefined) process.stdout.write(text);
  else writeNewFile(line.file, text);
  const failed = collected.capture.pages.filter((page) => page.failed !== undefined);
  for (const page of failed) console.error(`Not read: ${page.record}: ${page.failed?.reason}`);
  if (collected.asleep) console.error('The drive sleeps; --wake reads it all the same');
  const isSomething = collected.capture.pages.length > failed.length;
  return endProcess(isSomething ? exitCodes.done : exitCodes.interrupted);
}
