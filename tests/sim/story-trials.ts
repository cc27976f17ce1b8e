import { archiveParts } from '../box/archive-box.js';
import type { SimSeatOptions } from '../box/sim-box.js';
import type { SimPlace } from '../box/sim-plan.js';
import { dayMs } from './archive-life.js';

/** Drives that come to the reading room for a trial, by what becomes of them. All invented. */
export const trialSerials = {
  module: 'QM2560731',
  returned: 'LM2K0C5528',
  today: 'TB50031187',
} as const;

const { boardSata } = archiveParts;

export const trialPlaces: Readonly<Record<string, SimPlace>> = {
  [trialSerials.module]: { pci: boardSata, port: 6 },
  [trialSerials.returned]: { pci: boardSata, port: 5 },
  [trialSerials.today]: { pci: boardSata, port: 3 },
};

/** A small boot module, a disk with bad places, and a disk that came today. */
export const trialDrives: readonly SimSeatOptions[] = [
  {
    drive: {
      kind: 'sata-ssd',
      model: 'Quillon Mote 128M',
      serial: trialSerials.module,
      worldWideName: '5f0e3f0000256731',
      firmware: 'M1.0',
      capacityBytes: 128 * 2 ** 20,
      seed: 71,
      speed: { firstBytesPerSecond: 45e6, lastBytesPerSecond: 45e6 },
    },
    place: { pci: boardSata, port: 6 },
  },
  {
    drive: {
      kind: 'sata-disk',
      model: 'Larkspur Meridian LM2000',
      serial: trialSerials.returned,
      worldWideName: '5f0a1b0000c55283',
      firmware: 'AB09',
      capacityBytes: 2_000_398_934_016,
      seed: 72,
      speed: { firstBytesPerSecond: 158e6, lastBytesPerSecond: 74e6 },
    },
    place: { pci: boardSata, port: 5 },
  },
  {
    drive: {
      kind: 'sata-disk',
      model: 'Tolvane Brook 500',
      serial: trialSerials.today,
      worldWideName: '5f0c2d0000311877',
      firmware: 'TB03',
      capacityBytes: 500_107_862_016,
      rotationRpm: 5400,
      seed: 73,
      speed: { firstBytesPerSecond: 112e6, lastBytesPerSecond: 53e6 },
    },
    place: { pci: boardSata, port: 3 },
  },
];

/** What the build model says of the disk that came today; it can go back for some days yet. */
export function storyModel(nowWallMs: number): string {
  const day = (ms: number) => new Date(ms).toISOString().slice(0, 10);
  return `[[drive]]
serial = "${trialSerials.today}"
model = "Tolvane Brook 500"
class = "notebook-up-to-2tb-5400"
capacity = "500 GB"
port = "board-sata.port-3"
bay = "trial tray"
power-lead = "lead-left"
price = 9
seller = "Marketplace, seller 2210"
bought = ${day(nowWallMs - 4 * dayMs)}
return-by = ${day(nowWallMs + 10 * dayMs)}
`;
}
