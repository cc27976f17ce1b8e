import type { SimBoxParts } from './sim-box-parts.js';
import { pendingCount, type SimDriveState } from './sim-drive-state.js';
import type { SimChip, SimNetwork, SimPci, SimSeat } from './sim-plan.js';

const gigabit = 1e9;

/** Figures of a drive as the simulation holds them: what an honest reading must say. */
const driveTruth: Readonly<Record<string, (state: SimDriveState) => number>> = {
  temperature: (state) => state.temperatureCelsius,
  'temperature-highest': (state) => state.temperatureHighestCelsius,
  'power-on-hours': (state) => Math.floor(state.powerOnHours),
  'power-cycles': (state) => state.powerCycles,
  'start-stops': (state) => state.startStops,
  'head-loads': (state) => state.headLoads,
  'emergency-head-parks': (state) => state.emergencyHeadParks,
  'unsafe-shutdowns': (state) => state.unsafeShutdowns,
  'reallocated-sectors': (state) => state.reallocatedSectors,
  'pending-sectors': pendingCount,
  'uncorrectable-sectors': (state) => state.uncorrectableSectors,
  'uncorrectable-errors-reported': (state) => state.uncorrectableErrorsReported,
  'interface-crc-errors': (state) => state.interfaceCrcErrors,
  'commands-overdue': (state) => state.commandsOverdue,
  'grown-defects': (state) => state.grownDefects,
  'endurance-used': (state) => state.enduranceUsedPercent,
  'spare-left': (state) => state.spareLeftPercent,
  'media-and-data-errors': (state) => state.mediaErrors,
  'critical-warning': (state) => state.criticalWarning,
  'drive-verdict': (state) => (state.failing ? 1 : 0),
  'power-mode': (state) => (state.standby ? 0x00 : 0xff),
};

/** Metrics whose truth the box can tell for a drive. */
export const driveTruthMetrics: readonly string[] = [...Object.keys(driveTruth), 'sata-link-speed'];

/**
 * The truth about one figure of one part, or null where the simulation holds none. Parts are named
 * by the identity that the agent gives them.
 */
export function truthOf(
  box: SimBoxParts,
  { identityKey, metric, place }: { identityKey: string; metric: string; place?: string },
): number | null {
  const seat = box.seats.find((one) => identityKey === identityOfDrive(one));
  if (seat !== undefined) return seatTruth(box, seat, metric);
  const pci = box.pci.find((one) => identityKey === identityOfPci(one));
  if (pci !== undefined) return pciTruth(box, pci, metric);
  const chip = box.chips.find((one) => identityKey === identityOfChip(one));
  return chip === undefined ? null : chipTruth(chip, metric, place ?? '');
}

export function identityOfDrive({ drive }: SimSeat): string {
  return `wwn:${drive.state.worldWideName}`;
}

export function identityOfPci({ vendor, device, address }: SimPci): string {
  return `pci:${vendor}:${device}:${address}`;
}

export function identityOfChip({ chipName, device }: SimChip): string {
  return `chip:${chipName}@${device}`;
}

function seatTruth(box: SimBoxParts, seat: SimSeat, metric: string): number | null {
  if (metric === 'sata-link-speed') {
    return seat.drive.options.kind.startsWith('sata') ? seat.linkBitsPerSecond : null;
  }
  if (metric.startsWith('pci-link')) {
    const pci = box.pci.find(({ address }) => address === seat.place?.pci);
    return seat.drive.options.kind === 'nvme' && pci ? linkTruth(pci, metric) : null;
  }
  return driveTruth[metric]?.(seat.drive.state) ?? null;
}

function pciTruth(box: SimBoxParts, pci: SimPci, metric: string): number | null {
  const network = box.networks.find((one) => one.pci === pci.address);
  return linkTruth(pci, metric) ?? (network ? networkTruth(network, metric) : null);
}

function linkTruth(pci: SimPci, metric: string): number | null {
  if (metric === 'pci-link-speed') return pci.speed;
  return metric === 'pci-link-lanes' ? pci.lanes : null;
}

function networkTruth(network: SimNetwork, metric: string): number | null {
  switch (metric) {
    case 'network-rate':
      return network.switchedOn && network.carrier
        ? (network.megabitsPerSecond / 1000) * gigabit
        : null;
    case 'network-receive-errors':
      return network.receiveErrors;
    case 'network-checksum-errors':
      return network.checksumErrors;
    case 'network-carrier-changes':
      return network.carrierChanges;
    default:
      return null;
  }
}

function chipTruth(chip: SimChip, metric: string, place: string): number | null {
  if (metric === 'fan-speed') {
    const fan = chip.fans.find(({ label }, index) => (label ?? `fan ${index + 1}`) === place);
    return fan === undefined || fan.fault ? null : fan.rpm;
  }
  if (metric !== 'temperature') return null;
  const sensor = chip.temperatures.find(
    ({ label }, index) => (label ?? `temperature ${index + 1}`) === place,
  );
  return sensor === undefined || sensor.fault ? null : Math.round(sensor.celsius * 1000) / 1000;
}
