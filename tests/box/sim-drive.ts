import {
  type Answer,
  type AtaCommand,
  type AtaReply,
  type BlockHandle,
  missing,
  type NvmeAdminCommand,
  type NvmeReply,
  type OpenOptions,
  type ScsiCommand,
  type ScsiReply,
} from '../../src/agent/box/box.js';
import { ataCommand } from './sim-drive-ata.js';
import { openSimBlocks, SimMedium } from './sim-drive-blocks.js';
import { nvmeCommand } from './sim-drive-nvme.js';
import { scsiCommand } from './sim-drive-scsi.js';
import {
  freshState,
  type SimDriveOptions,
  type SimDriveState,
  simNature,
} from './sim-drive-state.js';
import { type SimParts, SimTime } from './sim-drive-time.js';

/**
 * A simulated drive: a disk or solid-state drive on SATA, an NVMe drive or a SAS disk that answers
 * byte-exact standard records at the seam and keeps what is written to it. It has no time and no
 * chance of its own: both come from the injected clock and the seed. Never shipped.
 *
 * Faults that can be planted in `state`, and what must then be observed:
 *
 * - `faults.badSectors`: a read over the sector ends with the sector's class (unreadable, aborted,
 *   damaged) after 1.2 s; one that is unreadable turns up as pending and in the reported errors;
 *   writing it heals it, takes it off pending and adds one reallocated sector. An extended
 *   self-test fails there, with the sector in its log.
 * - `faults.deadSectors`: writing ends `aborted`, every time.
 * - `faults.flips`: reading gives the byte with some bits turned over and says it went well.
 * - `faults.droppedWrites`: writing goes well, reading gives what lay there before.
 * - `faults.misplacedWrites`: writing goes well, the data lies at another sector.
 * - `faults.wrapBytes`: beyond this the drive starts again at its first byte: a faked capacity.
 * - `faults.slowPlaces`, `faults.slowedBy`: transfers there, or everywhere, take longer. One that
 *   takes longer than its deadline ends `timed-out`, and the drive is `busy` until it is over.
 * - `faults.hang`: nothing is answered; the first command ends `timed-out` at its deadline and
 *   every later one `busy` at once, until the fault is taken away.
 * - `faults.vanished`: everything ends `gone`.
 * - `faults.losesRegisters`: commands without data end well with registers null (a bridge).
 * - `failing`: the drive's own status says that a threshold is exceeded.
 * - counters (`reallocatedSectors`, `interfaceCrcErrors`, `criticalWarning`, …): the records that
 *   carry them show the new value on the next reading.
 * - `standbyAfterMs`: it sleeps by itself; `spinUps` and `wokenBy` tell who woke it. Asking for
 *   power mode or identity does not; SMART, logs and blocks do and take 6 s more.
 * - a new `bootId` of the clock: one more power cycle, and a running self-test ends interrupted.
 * - `keeps`: the drive says that it has fewer records, and refuses them.
 */
export interface SimDrive {
  readonly state: SimDriveState;
  readonly medium: SimMedium;
  readonly options: SimDriveOptions;
  ata(command: AtaCommand): Promise<Answer<AtaReply>>;
  scsi(command: ScsiCommand): Promise<Answer<ScsiReply>>;
  nvme(command: NvmeAdminCommand): Promise<Answer<NvmeReply>>;
  openBlocks(options: OpenOptions): Promise<Answer<BlockHandle>>;
  /** Brings hours, standby and self-tests up to the clock before a test looks at `state`. */
  settle(): void;
  /** Others used its medium until `agoMs` ago; it may fall asleep so much later. */
  noteUse(agoMs: number): void;
}

export function makeSimDrive(options: SimDriveOptions): SimDrive {
  const nature = simNature(options);
  const state = freshState(options);
  const time = new SimTime(nature, state);
  const parts: SimParts = { nature, state, time };
  const medium = new SimMedium(parts);
  const isAta = nature.kind === 'sata-disk' || nature.kind === 'sata-ssd';

  return {
    state,
    medium,
    options,
    ata: (command) =>
      isAta ? ataCommand(parts, command) : Promise.resolve(otherKind(command.name, 'an ATA')),
    scsi: (command) =>
      nature.kind === 'nvme'
        ? Promise.resolve(otherKind(command.name, 'a SCSI'))
        : scsiCommand(parts, command),
    nvme: (command) =>
      nature.kind === 'nvme'
        ? nvmeCommand(parts, command)
        : Promise.resolve(otherKind(command.name, 'an NVMe')),
    openBlocks: (open) => openSimBlocks(parts, medium, open),
    settle: () => time.settle(),
    noteUse: (agoMs) => time.noteUse(agoMs),
  };
}

function otherKind<T>(name: string, kind: string): Answer<T> {
  return missing('not-supported', `${name} is ${kind} command, which this drive does not know`);
}
