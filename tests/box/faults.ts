import type { BoxFault, FaultTarget } from './fault.js';
import { boardIdentity, kernelFaults } from './kernel-faults.js';
import type { SimBox } from './sim-box.js';
import { arrayIdentity } from './sim-kernel-arrays.js';
import type { SimSeat } from './sim-plan.js';
import { identityOfChip, identityOfDrive, identityOfPci } from './sim-truth.js';
import { startFaults } from './start-faults.js';

const nothing = () => undefined;

/** The written list. Each one is planted, seen and cleared by the simulation tests. */
export const boxFaults: readonly BoxFault[] = [
  {
    name: 'blocked air',
    what: 'A drive gets no air any more and settles 32 degrees higher',
    finding: 'too-warm',
    about: 'drive',
    metric: 'temperature',
    seenBy: 'health',
    roundsMax: 4,
    drive: 'any',
    plant: (box, target) => {
      seatOf(box, target).extraCelsius = 32;
    },
    repair: (box, target) => {
      seatOf(box, target).extraCelsius = 0;
    },
  },
  counterFault({
    name: 'worn surface',
    what: 'Sectors are moved to the spare area',
    finding: 'surface-damage-grew',
    metric: 'reallocated-sectors',
    grow: ({ drive }) => {
      drive.state.reallocatedSectors += 24;
    },
  }),
  counterFault({
    name: 'unreadable places',
    what: 'Sectors can no longer be read and wait for a rewrite',
    finding: 'surface-damage-grew',
    metric: 'pending-sectors',
    grow: ({ drive }) => {
      drive.state.pendingSectorsMore += 8;
    },
  }),
  counterFault({
    name: 'bad data cable',
    what: 'Transfers of one drive arrive damaged',
    finding: 'cable-errors-grew',
    metric: 'interface-crc-errors',
    grow: ({ drive }) => {
      drive.state.interfaceCrcErrors += 57;
    },
  }),
  counterFault({
    name: 'loose power lead',
    what: 'A drive loses power for a moment while the box runs',
    finding: 'power-was-lost',
    metric: 'emergency-head-parks',
    grow: ({ drive }) => {
      drive.state.emergencyHeadParks += 4;
    },
  }),
  counterFault({
    name: 'drive that stalls',
    what: 'Commands take longer than the drive allows itself',
    finding: 'answers-late',
    metric: 'commands-overdue',
    grow: ({ drive }) => {
      drive.state.commandsOverdue += 3;
    },
  }),
  {
    name: 'drive says it fails',
    what: 'The drive’s own verdict turns to failing',
    finding: 'drive-says-failing',
    about: 'drive',
    metric: 'drive-verdict',
    seenBy: 'health',
    roundsMax: 2,
    drive: 'sata-disk',
    plant: (box, target) => {
      seatOf(box, target).drive.state.failing = true;
    },
    repair: (box, target) => {
      seatOf(box, target).drive.state.failing = false;
    },
  },
  {
    name: 'warning of an NVMe drive',
    what: 'The drive raises the warning that it is no longer reliable',
    finding: 'drive-warns',
    about: 'drive',
    metric: 'critical-warning',
    seenBy: 'health',
    roundsMax: 2,
    drive: 'nvme',
    plant: (box, target) => {
      seatOf(box, target).drive.state.criticalWarning = 4;
    },
    repair: (box, target) => {
      seatOf(box, target).drive.state.criticalWarning = 0;
    },
  },
  {
    name: 'worn cells',
    what: 'A solid-state drive tells that its endurance is used up',
    finding: 'endurance-spent',
    about: 'drive',
    metric: 'endurance-used',
    seenBy: 'health',
    roundsMax: 2,
    drive: 'nvme',
    plant: (box, target) => {
      seatOf(box, target).drive.state.enduranceUsedPercent = 103;
    },
    repair: nothing,
  },
  {
    name: 'failed self-test',
    what: 'The drive’s own test ended at an unreadable sector',
    finding: 'self-test-failed',
    about: 'drive',
    metric: 'self-test-result',
    seenBy: 'health',
    roundsMax: 2,
    drive: 'sata-disk',
    plant: (box, target) => {
      const { state } = seatOf(box, target).drive;
      const hours = Math.floor(state.powerOnHours);
      state.selfTests.push({ number: 2, result: 7, hours, failingLba: 81_920 });
    },
    repair: (box, target) => {
      const { state } = seatOf(box, target).drive;
      const hours = Math.floor(state.powerOnHours);
      state.selfTests.push({ number: 2, result: 0, hours, failingLba: null });
    },
  },
  {
    name: 'errors on a shared card',
    what: 'Two drives of one card get damaged transfers at the same time',
    finding: 'controller-link-errors',
    about: 'controller',
    metric: 'interface-crc-errors',
    seenBy: 'health',
    roundsMax: 4,
    drive: 'sata-disk',
    plant: (box, target) => {
      box.seat(target.serial).drive.state.interfaceCrcErrors += 31;
      box.seat(target.otherSerial).drive.state.interfaceCrcErrors += 44;
    },
    repair: nothing,
  },
  {
    name: 'slowed disk link',
    what: 'The kernel lowers a SATA link to 1.5 Gb/s after errors',
    finding: 'disk-link-slower',
    about: 'drive',
    metric: 'sata-link-speed',
    seenBy: 'surroundings',
    roundsMax: 3,
    drive: 'sata-disk',
    plant: (box, target) => trainSata(seatOf(box, target), 1.5e9),
    repair: (box, target) => trainSata(seatOf(box, target), 6e9),
  },
  {
    name: 'dirty contacts',
    what: 'A card trains with a quarter of its lanes',
    finding: 'pci-link-narrow',
    about: 'card',
    metric: 'pci-link-lanes',
    seenBy: 'surroundings',
    roundsMax: 3,
    drive: 'any',
    plant: (box, target) => {
      pciOf(box, target).lanes = 1;
    },
    repair: (box, target) => {
      pciOf(box, target).lanes = 4;
    },
  },
  {
    name: 'slow PCI link',
    restarts: true,
    what: 'A card trains at 2.5 GT/s where both ends can do 8',
    finding: 'pci-link-slower',
    about: 'card',
    metric: 'pci-link-speed',
    seenBy: 'surroundings',
    roundsMax: 4,
    drive: 'any',
    plant: (box, target) => {
      pciOf(box, target).speed = 2.5;
    },
    repair: (box, target) => {
      pciOf(box, target).speed = 8;
    },
  },
  {
    name: 'slow drive',
    what: 'A drive reads at two thirds of its rate everywhere',
    finding: 'drive-slow',
    about: 'drive',
    metric: 'read-rate',
    seenBy: 'speed',
    roundsMax: 2,
    drive: 'any',
    plant: (box, target) => {
      seatOf(box, target).drive.state.faults.slowedBy = 1.5;
    },
    repair: (box, target) => {
      seatOf(box, target).drive.state.faults.slowedBy = 1;
    },
  },
  ...kernelFaults,
  ...startFaults,
];

/** The lead of the archive's model that feeds the target and the other drive: no part is kept. */
export const powerLead = 'lead-right';

/** Identity, as stored, of the part that a fault's finding is about. */
export function faultIdentity(box: SimBox, fault: BoxFault, target: FaultTarget): string {
  if (fault.about === 'drive') return identityOfDrive(box.seat(target.serial));
  if (fault.about === 'array') return arrayIdentity;
  if (fault.about === 'memory') return 'memory:mc0/dimm0';
  if (fault.about === 'power-lead') return powerLead;
  if (fault.about === 'box') return 'box';
  if (fault.about === 'board') return boardIdentity;
  const [chip] = box.parts.chips;
  if (fault.about === 'sensor-chip' && chip !== undefined) return identityOfChip(chip);
  const address = fault.about === 'card' ? target.card : (box.seat(target.serial).place?.pci ?? '');
  const pci = box.parts.pci.find((one) => one.address === address);
  if (pci === undefined) throw new Error(`The simulated box has no PCI function ${address}`);
  return identityOfPci(pci);
}

interface CounterFault {
  readonly name: string;
  readonly what: string;
  readonly finding: string;
  readonly metric: string;
  readonly grow: (seat: SimSeat) => void;
}

/** Growth is seen twice before it opens anything, and nothing takes it back. */
function counterFault({ grow, ...told }: CounterFault): BoxFault {
  return {
    ...told,
    about: 'drive',
    seenBy: 'health',
    roundsMax: 3,
    drive: 'sata-disk',
    plant: (box, target) => grow(seatOf(box, target)),
    repair: nothing,
  };
}

function seatOf(box: SimBox, { serial }: FaultTarget): SimSeat {
  box.settle();
  return box.seat(serial);
}

function pciOf(box: SimBox, { card }: FaultTarget) {
  const found = box.parts.pci.find(({ address }) => address === card);
  if (found === undefined) throw new Error(`The simulated box has no PCI function ${card}`);
  return found;
}

function trainSata(seat: SimSeat, bitsPerSecond: number): void {
  seat.linkBitsPerSecond = bitsPerSecond;
  seat.allowedBitsPerSecond = bitsPerSecond === 6e9 ? null : bitsPerSecond;
  seat.drive.state.linkSpeedCode = bitsPerSecond === 6e9 ? 3 : 1;
}
