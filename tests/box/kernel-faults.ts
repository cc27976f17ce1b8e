import { sfpModule } from '../agent/box/layouts/module-bytes.js';
import { archiveParts, archiveSerials } from './archive-box.js';
import type { BoxFault, FaultTarget } from './fault.js';
import type { SimBox } from './sim-box.js';
import { SimController } from './sim-controller.js';

/** Folder of the simulated box's one array, and of a card, as the kernel has them. */
const arrayFolder = '/sys/devices/virtual/block/md0/md';
const cardFolder = '/sys/devices/pci0000:00/0000:00:1c.0/0000:03:00.0';
const phyFolder = '/sys/devices/pci0000:00/0000:00:1d.0/0000:05:00.0/host9/phy-9:0';

type Kept = 'about' | 'seenBy' | 'drive' | 'roundsMax';

/** Faults that the kernel tells of, which are planted in its files. */
const ofKernel = { seenBy: 'kernel', drive: 'sata-disk', roundsMax: 6 } as const;

function arrayFault(
  told: Omit<BoxFault, Kept | 'plant' | 'repair'>,
  [file, bad, good]: readonly [string, string, string],
): BoxFault {
  const show = (box: SimBox, text: string) => box.showFiles({ [`${arrayFolder}/${file}`]: text });
  return {
    ...told,
    ...ofKernel,
    about: 'array',
    plant: (box) => show(box, bad),
    repair: (box) => show(box, good),
  };
}

/** Source of the form: Linux 6.1 drivers/pci/pcie/aer.c. */
function pciErrors(corrected: number): string {
  return `RxErr ${corrected}\nBadTLP 0\nTOTAL_ERR_COR ${corrected}`;
}

const memoryFolder = '/sys/devices/system/edac/mc/mc0';

function warm(box: SimBox, { serial, otherSerial }: FaultTarget, moreCelsius: number): void {
  box.settle();
  for (const one of [serial, otherSerial]) box.seat(one).extraCelsius = moreCelsius;
}

function turn(box: SimBox, rpm: number): void {
  for (const { fans } of box.parts.chips) for (const fan of fans.slice(0, 1)) fan.rpm = rpm;
}

function waitFor(box: SimBox, serials: readonly string[], seconds: number): void {
  for (const one of serials) box.seat(one).kernelWaitsSeconds = seconds;
}

/** Identity of the simulated controller, by its maker and product number. */
export const boardIdentity = 'management:10876:4660';

/** Entry of type 02h: sensor type 08h, offset 1: a supply failed (IPMI 2.0, from memory). */
function supplyFailed(seconds: number): Uint8Array {
  const time = [0, 8, 16, 24].map((shift) => (seconds >>> shift) % 256);
  return Uint8Array.of(1, 0, 2, ...time, 0x20, 0, 4, 0x08, 0x55, 0x6f, 1, 0xff, 0xff);
}

/** A module that is well, and the same with other figures from then on. */
function moduleFault(
  told: Omit<BoxFault, Kept | 'plant' | 'repair'>,
  figures: Readonly<Record<number, string>>,
): BoxFault {
  const plug = (box: SimBox, more: Readonly<Record<number, string>>) => {
    const data = Uint8Array.from(sfpModule);
    for (const [offset, hex] of Object.entries(more)) {
      data.set(Buffer.from(hex.replaceAll(' ', ''), 'hex'), Number(offset));
    }
    box.plugModule = { layout: 2, data };
  };
  return {
    ...told,
    ...ofKernel,
    about: 'card',
    roundsMax: 8,
    prepare: (box) => plug(box, {}),
    plant: (box) => plug(box, figures),
    repair: (box) => plug(box, {}),
  };
}

const nothing = () => undefined;

export const kernelFaults: readonly BoxFault[] = [
  arrayFault(
    {
      name: 'array that stopped',
      what: 'The kernel gives an array up',
      finding: 'array-stopped',
      metric: 'array-state',
    },
    ['array_state', 'broken', 'clean'],
  ),
  arrayFault(
    {
      name: 'array without a member',
      what: 'A member is thrown out of the array',
      finding: 'array-degraded',
      metric: 'array-members-missing',
    },
    ['degraded', '1', '0'],
  ),
  arrayFault(
    {
      name: 'copies that disagree',
      what: 'A comparison of the array finds copies that differ',
      finding: 'array-copies-disagree',
      metric: 'array-mismatches',
    },
    ['mismatch_cnt', '256', '0'],
  ),
  {
    ...ofKernel,
    name: 'errors of an array member',
    what: 'The kernel puts read errors of a member right from the others',
    finding: 'array-member-errors',
    about: 'array',
    metric: 'array-member-errors',
    plant: (box, { serial }) => {
      box.seat(serial).use.arrayErrors += 5;
    },
    repair: nothing,
  },
  {
    ...ofKernel,
    name: 'weak memory module',
    what: 'A memory module gives bits back wrong, which are put right',
    finding: 'memory-errors',
    about: 'memory',
    metric: 'memory-errors-corrected',
    prepare: (box) =>
      box.showFiles({
        [`${memoryFolder}/mc_name`]: 'Invented controller',
        [`${memoryFolder}/seconds_since_reset`]: () => String(Math.floor(box.clock.bootMs() / 1e3)),
        [`${memoryFolder}/ce_noinfo_count`]: '0',
        [`${memoryFolder}/ue_noinfo_count`]: '0',
        [`${memoryFolder}/dimm0/dimm_label`]: 'DIMM_A2',
        [`${memoryFolder}/dimm0/size`]: '8192',
        [`${memoryFolder}/dimm0/dimm_ce_count`]: '0',
        [`${memoryFolder}/dimm0/dimm_ue_count`]: '0',
      }),
    plant: (box) => box.showFiles({ [`${memoryFolder}/dimm0/dimm_ce_count`]: '3' }),
    repair: nothing,
  },
  {
    ...ofKernel,
    name: 'errors on a PCI link',
    what: 'Packets between a card and its slot arrive damaged and are sent again',
    finding: 'pci-errors-grew',
    about: 'card',
    metric: 'pci-errors-corrected',
    prepare: (box) => box.showFiles({ [`${cardFolder}/aer_dev_correctable`]: pciErrors(0) }),
    plant: (box) => box.showFiles({ [`${cardFolder}/aer_dev_correctable`]: pciErrors(41) }),
    repair: nothing,
  },
  {
    ...ofKernel,
    name: 'bad cable of a phy',
    what: 'A phy of the disk card goes on counting words that are not valid',
    finding: 'sas-link-errors-grew',
    about: 'controller',
    metric: 'sas-invalid-words',
    prepare: (box) =>
      box.showFiles({
        [`${phyFolder}/uevent`]: '',
        '/sys/class/sas_phy/phy-9:0/negotiated_linkrate': '6.0 Gbit',
        '/sys/class/sas_phy/phy-9:0/invalid_dword_count': '0',
      }),
    plant: (box) => {
      let count = 0;
      const more = () => {
        count += 7;
        return String(count);
      };
      box.showFiles({ '/sys/class/sas_phy/phy-9:0/invalid_dword_count': more });
    },
    repair: (box) => box.showFiles({ '/sys/class/sas_phy/phy-9:0/invalid_dword_count': '700' }),
  },
  {
    ...ofKernel,
    name: 'drive that stays away',
    what: 'A drive that the model names is not found after a start',
    finding: 'drive-missing',
    about: 'drive',
    metric: 'power-on-hours',
    drive: 'trial',
    restarts: true,
    plant: (box, { serial }) => box.unplug(serial),
    repair: (box) => box.plug(archiveSerials.trial, { pci: archiveParts.boardSata, port: 4 }),
  },
  {
    ...ofKernel,
    name: 'bad place in the log',
    what: 'The kernel cannot read a place of a drive and writes so into its log',
    finding: 'place-unreadable',
    about: 'drive',
    metric: 'pending-sectors',
    plant: (box, { serial }) =>
      box.writeLog(
        `critical medium error, dev ${box.namesOf(serial).kernelName}, sector 4194304 op 0x0:(READ) flags 0x0`,
      ),
    repair: nothing,
  },
  {
    ...ofKernel,
    name: 'link that is reset again and again',
    what: 'The kernel resets the link of a drive three times, minutes apart',
    finding: 'link-trouble',
    about: 'drive',
    metric: 'link-events',
    times: 3,
    plant: (box, { serial }) =>
      box.writeLog(`ata${box.namesOf(serial).hostNumber}: hard resetting link`),
    repair: nothing,
  },
  {
    ...ofKernel,
    name: 'kernel without patience',
    what: 'The kernel waits 5 s for a disk that tries for 7 s',
    finding: 'recovery-limit-long',
    about: 'drive',
    metric: 'kernel-time-limit',
    idle: true,
    plant: (box, { serial }) => waitFor(box, [serial], 5),
    repair: (box, { serial }) => waitFor(box, [serial], 30),
  },
  {
    ...ofKernel,
    name: 'kernel without patience for two',
    what: 'The kernel waits 5 s for two disks of an array that try for 7 s',
    finding: 'array-recovery-limits',
    about: 'array',
    metric: 'kernel-time-limit',
    idle: true,
    plant: (box, { serial, otherSerial }) => waitFor(box, [serial, otherSerial], 5),
    repair: (box, { serial, otherSerial }) => waitFor(box, [serial, otherSerial], 30),
  },
  {
    ...ofKernel,
    name: 'supply that failed',
    what: 'The board’s controller logs that a power supply failed',
    finding: 'board-reports-fault',
    about: 'board',
    metric: 'controller-log-entries',
    prepare: (box) => {
      box.controller = new SimController();
    },
    plant: ({ controller }) => {
      controller?.log.push(supplyFailed(controller.clockSeconds));
    },
    repair: nothing,
  },
  {
    ...ofKernel,
    name: 'drive that the kernel gave up',
    what: 'The kernel sends a drive nothing any more',
    finding: 'drive-given-up',
    about: 'drive',
    metric: 'kernel-drive-state',
    plant: (box, { serial }) => {
      box.seat(serial).givenUp = true;
    },
    repair: (box, { serial }) => {
      box.seat(serial).givenUp = false;
    },
  },
  {
    ...ofKernel,
    name: 'commands without an answer',
    what: 'The kernel gives up waiting for two commands of a drive',
    finding: 'commands-given-up',
    about: 'drive',
    metric: 'kernel-timeouts',
    prepare: (box) => {
      for (const seat of box.parts.seats) seat.kernelTimeouts = 0;
    },
    plant: (box, { serial }) => {
      box.seat(serial).kernelTimeouts = 2;
    },
    repair: nothing,
  },
  moduleFault(
    {
      name: 'hot module',
      what: 'The module in the network card’s plug reaches the warmth at which it warns',
      finding: 'module-warm',
      metric: 'temperature',
    },
    // 70 °C, its limit, in steps of 1/256 °C: 4600h.
    { 352: '46 00' },
  ),
  moduleFault(
    {
      name: 'dirty fibre',
      what: 'Less light comes in at the module than it warns of',
      finding: 'module-light-low',
      metric: 'optical-power',
    },
    // 4.9 microwatts in steps of 0.1, just below the 5 of its limit: 49 = 0031h.
    { 360: '00 31' },
  ),
  {
    name: 'blocked air of two drives',
    what: 'Dust closes the air of the cage: two drives settle 32 degrees higher',
    finding: 'cooling-weak',
    about: 'box',
    metric: 'temperature',
    seenBy: 'health',
    roundsMax: 4,
    drive: 'sata-disk',
    plant: (box, target) => warm(box, target, 32),
    repair: (box, target) => warm(box, target, 0),
  },
  {
    ...ofKernel,
    name: 'fan that stands still',
    what: 'The fan of the cage stops, and two drives get too warm',
    finding: 'fan-stopped',
    about: 'sensor-chip',
    metric: 'fan-speed',
    roundsMax: 12,
    plant: (box, target) => {
      turn(box, 0);
      warm(box, target, 32);
    },
    repair: (box, target) => {
      turn(box, 860);
      warm(box, target, 0);
    },
  },
  {
    name: 'loose lead of two drives',
    what: 'Two drives of one power lead lose power for a moment while the box runs',
    finding: 'drives-dropped-together',
    about: 'power-lead',
    metric: 'emergency-head-parks',
    seenBy: 'health',
    roundsMax: 3,
    drive: 'sata-disk',
    plant: (box, { serial, otherSerial }) => {
      box.settle();
      box.seat(serial).drive.state.emergencyHeadParks += 4;
      box.seat(otherSerial).drive.state.emergencyHeadParks += 3;
    },
    repair: nothing,
  },
];
