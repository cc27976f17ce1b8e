import { describe, expect, test } from 'vitest';
import { decodeSctTemperatures } from '../../../src/agent/box/layouts/ata-sct.js';
import { decodeSelfTestLog } from '../../../src/agent/box/layouts/ata-self-test.js';
import { decodeSmartData, selfTestStatus } from '../../../src/agent/box/layouts/ata-smart.js';
import { decodeReadCapacity } from '../../../src/agent/box/layouts/scsi-inquiry.js';
import {
  decodeBackgroundScan,
  decodeLogParameters,
  decodeScsiSelfTests,
  manufactureWeek,
} from '../../../src/agent/box/layouts/scsi-logs.js';
import { minutesSinceFormat } from '../../../src/agent/box/layouts/scsi-phy-log.js';
import {
  attributeHours,
  commandsOverdue,
  headFlyingHours,
  highestTemperature,
  packedRate,
  timedWear,
} from '../../../src/agent/probes/attribute-families.js';
import {
  isPlaceholderWorldWideName,
  sharedIdentities,
} from '../../../src/agent/probes/identity-rules.js';
import { logFact } from '../../../src/agent/probes/parse-kernel-log.js';
import { parseLinkSpeed, parseLinkWidth } from '../../../src/agent/probes/parse-pci.js';
import {
  parseSataControl,
  parseSataErrors,
  parseSataStatus,
} from '../../../src/agent/probes/parse-sata-registers.js';
import { whyOtherDrive } from '../../../src/agent/probes/whose-answer.js';
import { pageOf } from '../box/layouts/load-hex.js';
import { figure } from './capture-of.js';
import { attribute, marks, readAta, readNvme, summed, type WorkedInput } from './worked-inputs.js';

const packed = { model: 'ST4000ZZ999', hours: null };
const other = { model: 'TOLVANE E02', hours: null };
const aged = { ...other, hours: 20_000 };
const intel = (model: string) => ({ model, hours: null });

const attributes: readonly WorkedInput[] = [
  {
    what: 'attribute 7 of 052E0E3000ECh: 1326 errors in 238 026 988 seeks, 52.54, shown as 53',
    mark: 'thread',
    source: 'superuser.com/questions/1675004; order on the wire worked out',
    decode: () => packedRate(attribute(7, 'EC 00 30 0E 2E 05', 53), packed),
    expected: { told: true, value: { errors: 1326, operations: 238_026_988 } },
  },
  {
    what: 'the same shown as 60 is not believed: 52.54 is not within 1',
    mark: 'rule-derived',
    source: '-10·log10(1326 / 238 026 988) = 52.5408',
    decode: () => packedRate(attribute(7, 'EC 00 30 0E 2E 05', 60), packed).told,
    expected: false,
  },
  {
    what: 'no error counts as one in the rate, and is told as none',
    mark: 'thread',
    source: 'users.on.net/~fzabkar, Seagate SER RRER HEC; 16 777 216 gives 72.25',
    decode: () => packedRate(attribute(7, '00 00 00 01 00 00', 72), packed),
    expected: { told: true, value: { errors: 0, operations: 16_777_216 } },
  },
  {
    what: 'shown as 60: one error in 10^6 seeks (F4240h)',
    mark: 'thread',
    source: 'superuser.com/questions/1675004: the scale is logarithmic',
    decode: () => packedRate(attribute(7, '40 42 0F 00 01 00', 60), packed),
    expected: { told: true, value: { errors: 1, operations: 1_000_000 } },
  },
  {
    what: 'attribute 9 with a fraction of an hour above 32 bits: the low 32 bits are hours',
    mark: 'vendor document',
    source: 'Intel SSD 520 manual p. 18; the fraction is not told, its width is not known',
    decode: () =>
      attributeHours(attribute(9, '20 4E 00 00 CC 5F 01'), intel('INTEL SSDSC2BW120A4')),
    expected: { told: true, value: { hours: 20_000, unit: 'hours', agreed: false } },
  },
  {
    what: 'the byte behind the six is kept: a maker may count in it',
    mark: 'vendor document',
    source: 'Intel SSD 520 manual p. 18: the field reaches into the seventh byte',
    decode: () =>
      Array.from(
        decodeSmartData(summed({ 2: '09 32 00 64 64 20 4E 00 00 CC 5F 01' })).attributes[0]
          ?.rawBytes ?? [],
      ),
    expected: [0x20, 0x4e, 0x00, 0x00, 0xcc, 0x5f, 0x01],
  },
  {
    what: 'attribute 1 that counts sectors of this power cycle: meaning not known',
    mark: 'rule-derived',
    source: 'its 24-bit errors need the seventh byte, and nothing at hand could check them',
    decode: () => packedRate(attribute(1, '00 00 10 00 00 00 00'), other).told,
    expected: false,
  },
  {
    what: 'attribute 226 of 4450: 4450 / 1024 = 4.345703125 % of wear in the window',
    mark: 'vendor document',
    source: 'Intel DC S3500 specification p. 24',
    decode: () => timedWear(attribute(226, '62 11 00 00 00 00'), intel('INTEL SSDSC2BB300G4')),
    expected: { told: true, value: 4.345703125 },
  },
  {
    what: 'attribute 194 of 0033000B0021h: now 33, lowest 11, highest 51',
    mark: 'invented',
    source: 'the layout is trade knowledge',
    decode: () =>
      highestTemperature(attribute(194, '21 00 0B 00 33 00'), {
        ...other,
        model: 'Hitachi HTS990099ZZ9',
      }),
    expected: { told: true, value: 51 },
  },
  {
    what: 'attribute 188 of 000100010001h: one command overdue, not four thousand million',
    mark: 'invented',
    source: 'the layout is trade knowledge',
    decode: () => commandsOverdue(attribute(188, '01 00 01 00 01 00'), packed),
    expected: { told: true, value: 1 },
  },
  {
    what: 'attribute 240 is told for one family, and not known for another',
    mark: 'vendor document',
    source: 'manualsdir.com/manuals/102359: transfer errors; flying hours are trade knowledge',
    decode: () =>
      [packed, other].map((drive) =>
        headFlyingHours(attribute(240, '38 4A 00 00 00 00'), { ...drive, hours: 20_000 }),
      ),
    expected: [{ told: true, value: 19_000 }, expect.objectContaining({ told: false })],
  },
  ...(
    [
      ['1 200 000', '80 4F 12 00 00 00', 'minutes'],
      ['2 400 000', '00 9F 24 00 00 00', 'half minutes'],
      ['72 000 000', '00 A2 4A 04 00 00', 'seconds'],
    ] as const
  ).map(
    ([count, bytes, unit]): WorkedInput => ({
      what: `attribute 9 of ${count} on a drive of 20 000 hours: ${unit}`,
      mark: 'invented',
      source: '20 000 hours of 60, 120 and 3600 counts',
      decode: () => attributeHours(attribute(9, bytes), aged),
      expected: { told: true, value: { hours: 20_000, unit, agreed: true } },
    }),
  ),
  {
    what: 'shown values of 0, 254 and 255 are none; 1 and 253 are',
    mark: 'vendor document',
    source: 'HTS541040G9AT00 manual p. 189: valid from 1 to 253',
    decode: () =>
      decodeSmartData(
        summed({
          2: '01 00 00 00 FE 00 00 00 00 00 00 00',
          14: '02 00 00 FF 01 00 00 00 00 00 00 00',
          26: '03 00 00 FD FE 00 00 00 00 00 00 00',
        }),
      ).attributes.map(({ current, worst }) => [current, worst]),
    expected: [
      [null, null],
      [null, 1],
      [253, null],
    ],
  },
];

const logs: readonly WorkedInput[] = [
  {
    what: 'self-test log 06h: the second of 21 entries of 24 bytes, its hours at byte 2',
    mark: 'vendor document',
    source: 'manualslib.com/manual/280071 p. 238: entry n at n·18h+02h, index 1 to 21',
    decode: () =>
      decodeSelfTestLog(summed({ 26: '02 00 28 55', 508: '02' })).map((one) => one.hours),
    expected: [21_800],
  },
  {
    what: 'an index of 0 says that no test was kept',
    mark: 'vendor document',
    source: 'manualslib.com/manual/280071 p. 238',
    decode: () => decodeSelfTestLog(summed({ 2: '02 00 28 55' })),
    expected: [],
  },
  ...(
    [
      [0xf9, 15, 90],
      [0x00, 0, 0],
      [0x29, 2, 90],
      [0x79, 7, 90],
      [0x11, 1, 10],
    ] as const
  ).map(
    ([byte, code, percentLeft]): WorkedInput => ({
      what: `self-test status ${byte.toString(16)}h is code ${code} with ${percentLeft} % left`,
      mark: 'rule-derived',
      source: 'HGST HC310 p. 287',
      decode: () => selfTestStatus(byte),
      expected: { code, percentLeft },
    }),
  ),
  {
    what: 'minutes of an extended test: FFh at 175h sends the reader to the word at 177h',
    mark: 'vendor document',
    source: 'HDS723020BLA642 manual p. 218; 0258h = 600',
    decode: () => decodeSmartData(summed({ 373: 'FF 00 58 02' })).extendedTestMinutes,
    expected: 600,
  },
  {
    what: 'temperature history: 80h is a gap, F6h is 10 °C below zero',
    mark: 'vendor document',
    source: 'HTS542525K9SA00 manual p. 138; the signed value is worked out',
    decode: () =>
      decodeSctTemperatures(pageOf(512, { 0: '02 00 01 00 05', 30: '03 00', 34: '80 F6 21' })).kept,
    expected: [-10, 33],
  },
  {
    what: 'SCSI self-test at FFFFh: 65 535 hours or more, not wrapped',
    mark: 'vendor document',
    source: 'Seagate SCSI Commands Reference Rev. J p. 363',
    decode: () => {
      const entry = `00 01 03 10 20 00 FF FF ${'00 '.repeat(11)}00`;
      const page = pageOf(24, { 0: `10 00 00 14 ${entry}` });
      const parameters = decodeLogParameters(page, { log: 0x10, subpage: 0 });
      return decodeScsiSelfTests(parameters).map(({ hours }) => hours);
    },
    expected: [65_535],
  },
  {
    what: 'background scan 0016E360h: 1 500 000 minutes, which are 25 000 h',
    mark: 'vendor document',
    source: 'Seagate SCSI Commands Reference Rev. J p. 313; the number is invented',
    decode: () => {
      const page = pageOf(24, { 0: '15 00 00 14 00 00 03 10 00 16 E3 60' });
      const parameters = decodeLogParameters(page, { log: 0x15, subpage: 0 });
      return (decodeBackgroundScan(parameters)?.powerOnMinutes ?? 0) / 60;
    },
    expected: 25_000,
  },
  {
    what: 'format status 0004h: minutes since the last format',
    mark: 'vendor document',
    source: 'Seagate SCSI Commands Reference Rev. J p. 336; 00001770h = 6000 is invented',
    decode: () => {
      const page = pageOf(12, { 0: '08 00 00 08 00 04 03 04 00 00 17 70' });
      return minutesSinceFormat(decodeLogParameters(page, { log: 0x08, subpage: 0 }));
    },
    expected: 6000,
  },
  {
    what: 'start-stop page: four digits of a year and two of a week, as letters',
    mark: 'vendor document',
    source: 'HGST HUS1545xx manual p. 151; the date is invented',
    decode: () => {
      const page = pageOf(14, { 0: '0E 00 00 0A 00 01 03 06 32 30 31 36 32 37' });
      return manufactureWeek(decodeLogParameters(page, { log: 0x0e, subpage: 0 }));
    },
    expected: { year: 2016, week: 27 },
  },
  {
    what: 'hours 40 by the standard and a self-test at 21 800: both are told, none is unwrapped',
    mark: 'invented',
    source: 'page 1 of Device Statistics and entry 1 of log 06h',
    decode: () =>
      readAta(
        {
          record: 'log',
          log: 0x04,
          page: 1,
          data: pageOf(512, { 0: '01 00 01', 16: '28 00 00 00 00 00 00 C0' }),
        },
        { record: 'log', log: 0x06, page: 0, data: summed({ 2: '02 00 28 55', 508: '01' }) },
      ).hourCounters.flatMap(({ name, hours }) => (hours === null ? [] : [[name, hours]])),
    expected: [
      ['Power-on hours, statistics', 40],
      ['Newest entry of self-test log 06h', 21_800],
    ],
  },
];

const health = (places: Readonly<Record<number, string>>) =>
  readNvme({ record: 'nvme-log', log: 2, data: pageOf(512, places) });

const nvme: readonly WorkedInput[] = [
  {
    what: 'composite temperature 310 (0136h): 37 °C',
    mark: 'vendor document',
    source: 'Seagate Nytro manual p. 19: kelvins; the number is invented',
    decode: () => figure(health({ 1: '36 01' }), 'temperature'),
    expected: 37,
  },
  {
    what: 'one unit of data: 512 000 bytes',
    mark: 'vendor document',
    source: 'Seagate Nytro manual p. 19: 1000 times 512 bytes, rounded up',
    decode: () => figure(health({ 32: '01' }), 'bytes-read'),
    expected: 512_000,
  },
  ...(
    [
      ['64', 100, undefined],
      ['67', 103, undefined],
      ['FF', 255, '255 % or more'],
    ] as const
  ).map(
    ([byte, percent, words]): WorkedInput => ({
      what: `percentage used ${byte}h: ${percent} %`,
      mark: 'vendor document',
      source: 'Seagate Nytro manual p. 19: may pass 100, stops at 255',
      decode: () => {
        const found = health({ 5: byte }).readings.find((one) => one.metric === 'endurance-used');
        return [found?.value, found?.text];
      },
      expected: [percent, words],
    }),
  ),
];

const capacities: readonly WorkedInput[] = [
  {
    what: 'last block 5589FFFFFh, exponent 3, field 1: 11.7 TB, 4096 bytes, protection of type 2',
    mark: 'thread',
    source: 'jonijunni.com',
    decode: () => {
      const page = pageOf(32, { 3: '05 58 9F FF FF 00 00 02 00 03 03' });
      const { blocks, blockBytes, ...rest } = decodeReadCapacity(page);
      return { blocks, bytes: blocks * BigInt(blockBytes), ...rest };
    },
    expected: {
      blocks: 22_961_717_248n,
      bytes: 11_756_399_230_976n,
      physicalBlockBytes: 4096,
      protectionType: 2,
    },
  },
  {
    what: 'shows 78 125 000 of 78 165 360 sectors: 40 360 are hidden, 20 664 320 bytes',
    mark: 'thread',
    source: 'wiki.sebeka.k12.mn.us; the registers are worked out',
    decode: () =>
      readAta(
        // Words 60 and 61 hold 04A817C8h; a model, so that the page is an identity.
        { record: 'identify-device', data: pageOf(512, { 54: '61 4C', 120: 'C8 17 A8 04' }) },
        // The last address 04A8B56Fh: three bytes, the top four bits in the device register.
        { record: 'native-max', data: pageOf(12, { 0: '00 50 E4 00 00 6F B5 A8' }) },
      ).remarks.filter((remark) => remark.includes('hides')),
    expected: ['The drive hides 40360 sectors (20664320 bytes) behind its shown capacity'],
  },
];

const up = (bitsPerSecond: number) => ({ device: 'linked', bitsPerSecond });
const speeds = [1_500_000_000, 3_000_000_000, 6_000_000_000] as const;

const links: readonly WorkedInput[] = [
  {
    what: 'SATA status 113, 123, 133, 0 and 1: up at three speeds, no drive, no link',
    mark: 'thread',
    source: 'threads on developerit.com, nosuz.jp and the coreboot list',
    decode: () => ['113', '123', '133', '0', '1'].map(parseSataStatus),
    expected: [
      ...speeds.map(up),
      { device: 'none', bitsPerSecond: null },
      { device: 'seen, no link', bitsPerSecond: null },
    ],
  },
  {
    what: 'SATA control 300 sets no limit, 320 one of 3.0 Gb/s',
    mark: 'thread',
    source: 'nosuz.jp; the second is worked out',
    decode: () => ['300', '320', 'x'].map(parseSataControl),
    expected: [{ limit: null }, { limit: 3_000_000_000 }, null],
  },
  {
    what: 'SATA errors D0000h: link lost or made, woken, a 10b/8b error',
    mark: 'thread',
    source: 'smackerelofopinion.blogspot.com',
    decode: () => parseSataErrors('0xD0000'),
    expected: {
      bits: [16, 18, 19],
      words: ['link lost or made', 'drive woke the link', '10b/8b error'],
      damaged: true,
      likePowerLoss: false,
    },
  },
  {
    what: 'SATA errors 4010000h while 0.4 V were missing: nothing damaged, like a loss of power',
    mark: 'thread',
    source: 'felixkohlhas.com',
    decode: () => parseSataErrors('0x4010000'),
    expected: {
      bits: [16, 26],
      words: ['link lost or made', 'another device'],
      damaged: false,
      likePowerLoss: true,
    },
  },
  {
    what: 'the line with these errors is an event; one with a damaged transfer waits for the next line',
    mark: 'rule-derived',
    source: 'the numbers above in the words of Linux 6.1 libata-eh.c ata_eh_link_report',
    decode: () =>
      ['4010000', '4050000', '4210000'].map((errors) =>
        kindOf(`ata3: exception Emask 0x10 SAct 0x0 SErr 0x${errors} action 0xe frozen`),
      ),
    expected: ['power-pattern', null, null],
  },
  {
    what: 'PCI link of 2.5 GT/s that could have 16 lanes and runs with one',
    mark: 'thread',
    source: 'kb.fusionio.com: 02012501h and 1011h; the texts are those of Linux pci-sysfs.c',
    decode: () => [parseLinkSpeed('2.5 GT/s PCIe'), parseLinkWidth('16'), parseLinkWidth('1')],
    expected: [2.5, 16, 1],
  },
];

function kindOf(text: string): string | null {
  return logFact({ sequence: 1, monoMs: 1, level: 3, text })?.kind ?? null;
}

const bay = (serial: string) => ({
  model: 'Tolvane TB1',
  serial,
  worldWideName: '5000000000000001',
  place: `usb ${serial}`,
  virtual: false,
});

const identities: readonly WorkedInput[] = [
  {
    what: 'five bays with the name 5000000000000001: a filler, and none can be told from the others',
    mark: 'thread',
    source: 'yudai.arielworks.com',
    decode: () => [
      isPlaceholderWorldWideName('5000000000000001'),
      [...sharedIdentities(['LK-1', 'LK-2', 'LK-3', 'LK-4', 'LK-5'].map(bay))],
    ],
    expected: [true, [0, 1, 2, 3, 4]],
  },
  {
    what: 'serial ABCD1234 on one way and 4321DCBA on another: the same drive',
    mark: 'thread',
    source: 'newbetuts.com/1663951; the letters are invented',
    decode: () =>
      ['4321DCBA', '4321DCBB'].map((serial) =>
        whyOtherDrive({
          drive: { serial: 'ABCD1234', worldWideName: null, reachedBy: 'scsi' },
          told: { serial, worldWideName: null },
          earlier: null,
          others: [],
        }),
      ),
    expected: [
      null,
      'The answers came from a drive with serial number 4321DCBB, expected was ABCD1234: nothing in them is believed',
    ],
  },
];

const subjects = { attributes, logs, nvme, capacities, links, identities };

describe.each(Object.entries(subjects))('%s', (_subject, inputs) => {
  test.each(inputs.map((input) => [input.what, input] as const))('%s', (_what, input) => {
    expect(input.decode()).toEqual(input.expected);
    expect(marks).toContain(input.mark);
    expect(input.source.length).toBeGreaterThan(5);
  });
});
