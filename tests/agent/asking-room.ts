import { rmSync } from 'node:fs';
import { join } from 'node:path';
import type { Box, DriveAddress } from '../../src/agent/box/box.js';
import { type AskQuestion, DriveAsking } from '../../src/agent/drive-asking.js';
import { takeInventory } from '../../src/agent/probes/inventory.js';
import type { StoreWriter } from '../../src/agent/store/store.js';
import { openStore } from '../../src/agent/store/write.js';
import type { DriveSeen, Inventory } from '../../src/checks/part.js';
import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import { overlaidBox } from '../box/overlaid-box.js';
import type { SimBox } from '../box/sim-box.js';
import { makeSimClock, type SimClock } from '../box/sim-clock.js';
import { temporaryFolder } from './store/temporary-store.js';

/** 5 January 2026, 09:00 UTC. */
const startWallMs = Date.UTC(2026, 0, 5, 9);

export interface AskingRoom {
  readonly sim: SimBox;
  readonly box: Box;
  readonly clock: SimClock;
  readonly store: StoreWriter;
  readonly boot: number;
  readonly inventory: Inventory;
  readonly asking: DriveAsking;
  /** The first disk of the array, a SATA disk. */
  readonly member: DriveSeen;
  readonly onTrial: DriveSeen;
  /** Kernel files that are to be other than they are. */
  readonly texts: Map<string, (() => string) | null>;
  /** Folders of the kernel that are to look empty. */
  readonly emptyFolders: Set<string>;
  /** Commands that drives got since the last call, as "SERIAL COMMAND". */
  sentSince(): readonly string[];
  question(more?: Partial<AskQuestion>): AskQuestion;
  /** Called with each command before it is sent; may send it to another drive. */
  hook: (drive: DriveAddress, command: string) => DriveAddress | undefined;
  remove(): void;
}

/** The archive's box, its parts found, and somebody to ask its drives. */
export async function askingRoom(): Promise<AskingRoom> {
  const clock = makeSimClock(startWallMs);
  const sim = archiveReadingRoomBox(7, { clock });
  const texts = new Map<string, (() => string) | null>();
  const emptyFolders = new Set<string>();
  const onCommand = (drive: DriveAddress, command: string) => room.hook(drive, command);
  const box = overlaidBox(sim, { texts, emptyFolders, onCommand });
  const folder = temporaryFolder();
  const store = openStore(join(folder, 'store.sqlite'), clock);
  const boot = store.beginBoot(clock.bootId, clock.wallMs());
  const inventory = await takeInventory(box);
  let seen = sim.asked.length;
  const room: AskingRoom = {
    ...{ sim, box, clock, store, boot, inventory, texts, emptyFolders },
    asking: new DriveAsking({ box, clock, store, boot }),
    member: driveOf(inventory, archiveSerials.disks[0]),
    onTrial: driveOf(inventory, archiveSerials.trial),
    hook: () => undefined,
    sentSince: () => {
      const sent = sim.asked.slice(seen).map(({ serial, command }) => `${serial} ${command}`);
      seen = sim.asked.length;
      return sent;
    },
    question: (more) => ({ depth: 'counters', inventory, usedLately: true, ...more }),
    remove: () => {
      store.close();
      rmSync(folder, { recursive: true, force: true });
    },
  };
  return room;
}

export function driveOf({ drives }: Inventory, serial: string): DriveSeen {
  const found = drives.find((drive) => drive.serial === serial);
  if (found === undefined) throw new Error(`No drive ${serial} in the simulated box`);
  return found;
}
