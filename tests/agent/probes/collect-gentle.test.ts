import { describe, expect, test } from 'vitest';
import { type Answer, answered, type Box } from '../../../src/agent/box/box.js';
import { collectPages } from '../../../src/agent/probes/collect-pages.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import { addressFor, oneDriveBox } from '../../box/one-drive-box.js';
import { makeSimClock } from '../../box/sim-clock.js';
import { makeSimDrive } from '../../box/sim-drive.js';
import type { SimDriveOptions } from '../../box/sim-drive-state.js';

const taken = '2026-01-01T00:00:00.000Z';
const usual = { taken, rare: true, skipIfAsleep: true };

function simulated(kind: SimDriveOptions['kind']) {
  const clock = makeSimClock(Date.parse(taken));
  const names = { model: 'Larkspur LV4000', serial: 'LK-20417' };
  const drive = makeSimDrive({ kind, ...names, capacityBytes: 4e12, clock });
  return { drive, ...oneDriveBox(drive) };
}

describe('gentle questions', () => {
  test.each([
    [
      'sata-disk',
      'ata',
      ['CHECK POWER MODE', 'IDENTIFY DEVICE', 'SMART READ LOG E0h'],
      ['CHECK POWER MODE', 'IDENTIFY DEVICE', 'SMART RETURN STATUS', 'SMART READ LOG E0h'],
    ],
    [
      'sas-disk',
      'scsi',
      ['INQUIRY', 'REQUEST SENSE', 'INQUIRY page 80h', 'LOG SENSE page 0Dh'],
      ['INQUIRY', 'REQUEST SENSE', 'INQUIRY page 80h', 'LOG SENSE page 0Dh', 'LOG SENSE page 2Fh'],
    ],
    ['nvme', 'nvme', ['Get Log Page 02h'], ['Get Log Page 02h']],
  ] as const)(
    'to a %s are these and no others, rare logs or not',
    async (kind, by, short, long) => {
      const { drive, box, asked } = simulated(kind);
      drive.state.temperatureCelsius = 37;
      for (const [verdict, commands] of [
        [false, short],
        [true, long],
      ] as const) {
        asked.length = 0;
        const options = { ...usual, gentle: { verdict } };
        const { capture } = await collectPages(box, addressFor(by), options);
        expect(asked.filter((one) => one !== 'TEST UNIT READY')).toEqual(commands);
        const { readings } = interpret(capture);
        const found = readings.find(({ metric }) => metric === 'temperature');
        expect(found).toMatchObject({ state: 'measured', value: 37 });
      }
    },
  );
});

type Lie = (data: Uint8Array, command: string) => Uint8Array;

/** A box whose drive gives other bytes, or another number of them, than it should. */
function lying(box: Box, lie: Lie): Box {
  const told = <T extends { readonly data: Uint8Array }>(answer: Answer<T>, name: string) =>
    answer.ok ? answered({ ...answer.value, data: lie(answer.value.data, name) }) : answer;
  return {
    ...box,
    ata: async (drive, command) => told(await box.ata(drive, command), command.name),
    scsi: async (drive, command) => told(await box.scsi(drive, command), command.name),
    nvme: async (drive, command) => told(await box.nvme(drive, command), command.name),
  };
}

/** Bytes 2 and 3 hold the length of log and vital pages. */
function lengthField(bytes: number): Lie {
  return (data, command) => {
    if (!/^(LOG SENSE|INQUIRY) page/.test(command) || data.length < 4) return data;
    const told = Uint8Array.from(data);
    new DataView(told.buffer).setUint16(2, bytes);
    return told;
  };
}

describe('a drive that lies about lengths', () => {
  const lies: readonly (readonly [string, Lie])[] = [
    ['the length field is as large as it can be', lengthField(0xffff)],
    ['the length field is zero', lengthField(0)],
    ['a third of each answer came', (data) => data.subarray(0, Math.floor(data.length / 3))],
    ['one byte of each answer is missing', (data) => data.subarray(0, -1)],
    ['nothing came', () => new Uint8Array(0)],
  ];
  test.each(
    (['sata-disk', 'sas-disk', 'nvme'] as const).flatMap((kind) =>
      lies.map(([name, lie]) => [kind, name, lie] as const),
    ),
  )('%s, %s: no figure that it did not give', async (kind, _, lie) => {
    const by = ({ 'sata-disk': 'ata', 'sas-disk': 'scsi', nvme: 'nvme' } as const)[kind];
    const { box } = simulated(kind);
    const honest = interpret((await collectPages(box, addressFor(by), usual)).capture).readings;
    const told = await collectPages(lying(box, lie), addressFor(by), usual);
    const { readings } = interpret(told.capture);
    for (const { metric, place, value, state, why } of readings) {
      if (state !== 'measured') expect(why ?? '').not.toBe('');
      else {
        const same = honest.find((one) => one.metric === metric && one.place === place);
        expect({ metric, place, value }).toEqual({ metric, place, value: same?.value });
      }
    }
  });
});
