import { describe, expect, it } from 'vitest';
import { collectPages } from '../../src/agent/probes/collect-pages.js';
import { interpret } from '../../src/agent/probes/interpret.js';
import { addressFor, oneDriveBox } from './one-drive-box.js';
import { makeSimClock } from './sim-clock.js';
import { makeSimDrive } from './sim-drive.js';
import type { SimDriveOptions, SimDriveState } from './sim-drive-state.js';

/**
 * Encoders of the simulation and decoders of the product were written apart from each other:
 * what the one lays down, the other must read, all the way through the commands.
 */
const taken = '2026-01-01T00:00:00.000Z';

async function readingsOf(
  kind: SimDriveOptions['kind'],
  state: Partial<SimDriveState>,
): Promise<{
  values: Record<string, number | null>;
  remarks: readonly string[];
  identity: object;
}> {
  const drive = makeSimDrive({
    kind,
    model: kind === 'nvme' ? 'Tolvane TN1' : 'Larkspur LV4000',
    serial: 'LK-20417',
    worldWideName: '5abcde0123456789',
    capacityBytes: 4_000_787_030_016,
    clock: makeSimClock(Date.parse(taken)),
  });
  Object.assign(drive.state, state);
  const reachedBy = kind === 'nvme' ? 'nvme' : kind === 'sas-disk' ? 'scsi' : 'ata';
  const { capture } = await collectPages(oneDriveBox(drive).box, addressFor(reachedBy), {
    taken,
    rare: true,
    skipIfAsleep: true,
  });
  const { readings, remarks, identity } = interpret(capture);
  const values = readings.map((reading) => [
    reading.place === undefined ? reading.metric : `${reading.metric} ${reading.place}`,
    reading.value,
  ]);
  return { values: Object.fromEntries(values), remarks, identity };
}

const worn: Partial<SimDriveState> = {
  temperatureCelsius: 47,
  temperatureHighestCelsius: 61,
  temperatureLimitCelsius: 65,
  powerOnHours: 42_256.7,
  powerCycles: 1_311,
  startStops: 1_400,
  headLoads: 301_234,
  emergencyHeadParks: 77,
  unsafeShutdowns: 21,
  reallocatedSectors: 24,
  pendingSectorsMore: 8,
  uncorrectableSectors: 5,
  uncorrectableErrorsReported: 13,
  interfaceCrcErrors: 199,
  grownDefects: 24,
  bytesWritten: 512_000_000_000_000,
  bytesRead: 1_024_000_000_000,
  enduranceUsedPercent: 93,
  spareLeftPercent: 12,
  spareLimitPercent: 10,
  criticalWarning: 4,
  mediaErrors: 6,
  failing: true,
  linkSpeedCode: 2,
};

/** Log 03h keeps four of the 13 errors, newest first; error n lies at sector 4096 * n. */
const logged = [53_248, 49_152, 45_056, 40_960].map(
  (sector) => `The drive logged read: a place could not be read, sector ${sector}, at 42256 h`,
);

describe('what a simulated drive lays down is what the product reads', () => {
  it('on a SATA disk', async () => {
    const { values, remarks, identity } = await readingsOf('sata-disk', worn);
    expect(remarks).toEqual(['The link runs at 3 Gb/s, the drive could do 6 Gb/s', ...logged]);
    expect(identity).toMatchObject({
      model: 'Larkspur LV4000',
      serial: 'LK-20417',
      firmware: 'LV01',
      worldWideName: '5abcde0123456789',
      capacityBytes: 4_000_787_030_016,
      logicalBlockBytes: 512,
      physicalBlockBytes: 4096,
      rotationRpm: 7200,
    });
    expect(values).toMatchObject({
      'drive-verdict': 1,
      'power-on-hours': 42_256,
      temperature: 47,
      'temperature-highest': 61,
      'temperature-limit': 65,
      'reallocated-sectors': 24,
      'pending-sectors': 8,
      'uncorrectable-sectors': 5,
      'uncorrectable-errors-reported': 13,
      'interface-crc-errors': 199,
      'head-loads': 301_234,
      'start-stops': 1_400,
      'power-cycles': 1_311,
      'emergency-head-parks': 77,
      'bytes-written': 512_000_000_000_000,
      'bytes-read': 1_024_000_000_000,
      'power-mode': 255,
      'sata-link-speed': 3_000_000_000,
      'sata-link-speed-possible': 6_000_000_000,
      'drive-memory': 268_435_456,
      'records-disagree serial': 0,
      'records-disagree model': 0,
      'drive-setting trusted computing': 0,
      'self-test-time short': 2,
      'errors-logged': 13,
      // UNC, bit 6 of the error register.
      'last-error-logged': 0x40,
    });
  });

  it('on a SATA solid-state drive', async () => {
    const { values, remarks } = await readingsOf('sata-ssd', { ...worn, linkSpeedCode: 3 });
    expect(remarks).toEqual(logged);
    expect(values).toMatchObject({
      'endurance-used': 93,
      'power-on-hours': 42_256,
      'reallocated-sectors': 24,
      'pending-sectors': 8,
    });
  });

  it('on an NVMe drive', async () => {
    const { values, remarks, identity } = await readingsOf('nvme', worn);
    expect(remarks).toEqual([]);
    expect(identity).toMatchObject({ model: 'Tolvane TN1', capacityBytes: 4_000_787_030_016 });
    expect(values).toMatchObject({
      'drive-verdict': 1,
      'critical-warning': 4,
      temperature: 47,
      'temperature-limit': 65,
      'endurance-used': 93,
      'spare-left': 12,
      'spare-limit': 10,
      'power-on-hours': 42_256,
      'power-cycles': 1_311,
      'unsafe-shutdowns': 21,
      'media-and-data-errors': 6,
      'errors-logged': 6,
      // Type 2, code 81h: a place could not be read.
      'last-error-logged': 0x281,
      'bytes-written': 512_000_000_000_000,
      'bytes-read': 1_024_000_000_000,
    });
  });

  it('on a SAS disk', async () => {
    const { values, identity } = await readingsOf('sas-disk', worn);
    expect(identity).toMatchObject({ model: 'Larkspur LV4000', serial: 'LK-20417' });
    expect(values).toMatchObject({
      'drive-verdict': 1,
      temperature: 47,
      'temperature-limit': 65,
      // Page 15h counts minutes: 42 256.7 hours are 2 535 402.
      'power-on-hours': 42_256.7,
      'uncorrectable-errors-reported': 13,
      'grown-defects': 24,
      'pending-sectors': 8,
      'start-stops': 1_400,
      'head-loads': 301_234,
      'bytes-written': 512_000_000_000_000,
      'bytes-read': 1_024_000_000_000,
      'non-medium-errors': 199,
      'read-commands': 15_625_000,
      'error-recovery-time-limit': 7000,
      'drive-setting write cache': 1,
      'drive-setting prediction of failure': 1,
      'sas-link-speed port 1, phy 0': 12_000_000_000,
      'link-events port 1, phy 0, invalid words': 199,
    });
  });
});
