import type { Checks } from '../checks.js';
import type { Machine } from '../machine/machine.js';
import {
  type DriveState,
  endSelfTest,
  failAttribute,
  startSelfTest,
} from '../programmable-drive/drive-state.js';
import { captureAndDecode, diskPath, readingOf, valuesOf } from './product-answers.js';

interface Reader {
  readonly checks: Checks;
  readonly machine: Machine;
  readonly drive: DriveState;
}

const asMade = {
  'power-on-hours': 31_337,
  temperature: 41,
  'temperature-highest': 53,
  'temperature-limit': 60,
  'reallocated-sectors': 24,
  'pending-sectors': 0,
  'uncorrectable-errors-reported': 2,
  'interface-crc-errors': 3,
  'head-loads': 88_123,
  'start-stops': 1204,
  'power-cycles': 407,
  'emergency-head-parks': 19,
  'bytes-written': 3_584_000_000_512,
  'bytes-read': 4_608_000_001_024,
  'drive-verdict': 0,
  'power-mode': 255,
  'self-test-running': null,
};

/** A drive that ages between two looks, heals on rewriting, falls asleep, and fails. */
export async function readGrowing(so: Reader & { clock: { ms: number } }): Promise<void> {
  const { checks, machine, drive } = so;
  const first = await captureAndDecode(machine, drive.serial);
  checks.equal('programmable identity', first.identity, {
    model: 'Tolvane Archive 4000',
    serial: 'TVLAB0001',
    firmware: 'TV01',
    worldWideName: '500123456789ab01',
    capacityBytes: 67_108_864,
    logicalBlockBytes: 512,
    physicalBlockBytes: 4096,
    rotationRpm: 5400,
    rotating: true,
  });
  checks.equal('programmable as made', valuesOf(first, Object.keys(asMade)), asMade);
  await readGrown(so);
  await readHealed(so);
  await readAsleep(so);
}

async function readGrown(so: Reader & { clock: { ms: number } }): Promise<void> {
  const { checks, machine, drive } = so;
  drive.temperatureCelsius = 47;
  drive.powerOnHours = 31_400;
  drive.interfaceCrcErrors = 5;
  drive.medium.plant({ kind: 'pending', range: { from: 3000, to: 3007 } });
  startSelfTest(drive, 2);
  so.clock.ms = 40_000;
  const expected = {
    temperature: 47,
    'power-on-hours': 31_400,
    'interface-crc-errors': 5,
    'pending-sectors': 8,
    'self-test-running': 70,
  };
  const grown = await captureAndDecode(machine, drive.serial);
  checks.equal('programmable has grown', valuesOf(grown, Object.keys(expected)), expected);
}

/** Sectors 3000 to 3007 are one page of 4096 bytes, so a plain write needs no reading first. */
async function readHealed(so: Reader & { clock: { ms: number } }): Promise<void> {
  const { checks, machine, drive } = so;
  const path = await diskPath(machine, drive.serial);
  const place = 'bs=4096 count=1';
  const read = ['/bin/sh', '-c', `dd if=${path} of=/dev/null ${place} skip=375`];
  const before = await machine.run(read);
  checks.holds('pending place cannot be read', before.status !== 0, before.complaints.trim());
  const write = `dd if=/dev/zero of=${path} ${place} seek=375 conv=fsync,notrunc`;
  await machine.must(['/bin/sh', '-c', write]);
  const after = await machine.run(read);
  checks.equal('rewritten place can be read', after.status, 0);
  failAttribute(drive, 5);
  endSelfTest(drive, 7);
  const expected = {
    'pending-sectors': 0,
    'reallocated-sectors': 32,
    'drive-verdict': 1,
    'self-test-result': 7,
    'self-test-running': null,
  };
  const decoded = await captureAndDecode(machine, drive.serial);
  checks.equal(
    'programmable healed and failing',
    valuesOf(decoded, Object.keys(expected)),
    expected,
  );
  const { source } = readingOf(decoded, 'drive-verdict');
  checks.equal('failing by its own answer', source, 'SMART status registers');
}

async function readAsleep({ checks, machine, drive }: Reader): Promise<void> {
  drive.powerMode = 0;
  const wokenBefore = drive.woken;
  const asleep = await captureAndDecode(machine, drive.serial);
  const states = ['temperature', 'power-on-hours', 'drive-verdict'].map(
    (metric) => readingOf(asleep, metric).state,
  );
  checks.equal('asleep in standby', states, ['asleep', 'asleep', 'asleep']);
  checks.equal('power mode standby', readingOf(asleep, 'power-mode').value, 0);
  checks.equal('nothing woke it', [drive.powerMode, drive.woken - wokenBefore], [0, 0]);
}

/**
 * This drive gives its registers as a descriptor, which qemu's scsi-generic turns into sense
 * without them, as cheap bridges do: then nothing may be concluded from their absence.
 */
export async function readLostRegisters({ checks, machine, drive }: Reader): Promise<void> {
  failAttribute(drive, 5);
  const decoded = await captureAndDecode(machine, drive.serial);
  const { value, source } = readingOf(decoded, 'drive-verdict');
  checks.equal('failing by thresholds when its answer is lost', value, 1);
  checks.holds('the fallback says so', source.includes('thresholds'), source);
  checks.equal('power mode is lost', readingOf(decoded, 'power-mode').state, 'not-visible');
}
