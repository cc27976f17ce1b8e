import { pagesOf, seedCaptures } from '../seeds.js';
import type { FuzzTarget } from '../target.js';
import { ataTargets } from './ata.js';
import { boardTargets } from './board.js';
import { filesTargets } from './files.js';
import { kernelTargets } from './kernel-texts.js';
import { managementTargets } from './management.js';
import { moduleTargets } from './modules.js';
import { nvmeTargets } from './nvme.js';
import { scsiTargets } from './scsi.js';
import { transportTargets } from './transport.js';

/** Everything that is fed. A new decoder is added to the file of its kind. */
export async function allTargets(): Promise<readonly FuzzTarget[]> {
  const captures = await seedCaptures();
  const pages = pagesOf(captures);
  return [
    ...ataTargets(pages),
    ...nvmeTargets(pages),
    ...scsiTargets(pages),
    ...transportTargets(pages),
    ...managementTargets(),
    ...moduleTargets(),
    ...boardTargets(),
    ...filesTargets(captures),
    ...kernelTargets(pages),
  ];
}
