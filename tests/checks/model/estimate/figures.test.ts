import { describe, expect, it } from 'vitest';
import { layoutFacts, raidzShare } from '../../../../src/checks/model/estimate/array-shape.js';
import {
  framesPerSecond,
  tcpBytesPerSecond,
} from '../../../../src/checks/model/estimate/ethernet.js';
import { unreadableSectorProbability } from '../../../../src/checks/model/estimate/read-errors.js';

describe('frames and TCP data on Ethernet', () => {
  // RFC 5180 appendix A.1, RFC 2544 appendix B.
  it.each([
    [10e6, 64, 14_880],
    [100e6, 1518, 8_127],
    [1e9, 64, 1_488_095],
    [1e9, 1518, 81_274],
    [10e9, 512, 2_349_624],
    [10e9, 1518, 812_743],
  ])('%d b/s carry %d-byte frames: %d a second', (rate, bytes, frames) => {
    expect(framesPerSecond(rate, bytes)).toBe(frames);
  });

  // RFC 6349 section 4.1.1 without options: 949.28 and 9492.84 Mb/s.
  it.each([
    [1e9, 949.3],
    [10e9, 9492.8],
  ])('%d b/s without timestamps: %d Mb/s', (rate, megabits) => {
    const bytes = tcpBytesPerSecond({ bitsPerSecond: rate, timestamps: false });
    expect((bytes * 8) / 1e6).toBeCloseTo(megabits, 1);
  });

  // Worked out from the frame: payload over bytes on the wire.
  it.each([
    [{ bitsPerSecond: 1e9 }, 117.69],
    [{ bitsPerSecond: 2.5e9 }, 294.21],
    [{ bitsPerSecond: 10e9 }, 1176.85],
    [{ bitsPerSecond: 10e9, vlan: true }, 1173.8],
    [{ bitsPerSecond: 10e9, ipVersion: 6 as const }, 1160.6],
    [{ bitsPerSecond: 10e9, mtuBytes: 9000 }, 1237.55],
  ])('%j: %d MB/s', (terms, megabytes) => {
    expect(tcpBytesPerSecond(terms) / 1e6).toBeCloseTo(megabytes, 2);
  });
});

describe('what arrays hold and bear', () => {
  // Capacities: common practice for RAID; four 8 TB drives in RAID 6 hold 16 TB.
  it.each([
    ['raid6', 4, 16, 2, 2],
    ['raid5', 4, 24, 1, 1],
    ['raid10', 4, 16, 1, 2],
    ['raid0', 4, 32, 0, 0],
    ['mirror', 2, 8, 1, 1],
    ['single', 1, 8, 0, 0],
  ] as const)('%s of %d drives of 8 TB: %d TB', (layout, count, terabytes, always, atBest) => {
    const capacities = Array.from({ length: count }, () => 8e12);
    expect(layoutFacts({ layout, capacities })).toMatchObject({
      usableBytes: terabytes * 1e12,
      survives: { always, atBest },
    });
  });

  it('tells pairs that may fail at best', () => {
    const facts = layoutFacts({ layout: 'raid10', capacities: [8e12, 8e12, 8e12, 8e12] });
    expect(facts.title).toBe('RAID 10, any one may fail, at best two');
  });

  it('counts every member as the smallest', () => {
    const facts = layoutFacts({ layout: 'raid5', capacities: [8e12, 4e12, 8e12] });
    expect(facts.usableBytes).toBe(8e12);
    expect(facts.title).toBe('RAID 5, any one may fail');
  });

  // Formula from memory; sectors of 4 KiB, records of 128 KiB unless told.
  it.each([
    [3, 1, 131_072, 0.667],
    [4, 1, 131_072, 0.727],
    [5, 1, 131_072, 0.8],
    [6, 2, 131_072, 0.667],
    [8, 2, 131_072, 0.711],
    [11, 3, 131_072, 0.727],
    [8, 2, 1_048_576, 0.7485],
  ])(
    'RAID-Z of %d with %d parity: %d-byte records leave %d',
    (members, parity, recordBytes, share) => {
      const got = raidzShare({ members, parity, recordBytes, sectorBytes: 4096 });
      expect(got).toBeCloseTo(share, 3);
    },
  );
});

describe('chances', () => {
  // 1 - (1 - e)^(8 N).
  it.each([
    [1e12, 1e14, 7.688],
    [8e12, 1e15, 6.2],
    [12e12, 1e14, 61.711],
    [24e12, 1e14, 85.339],
    [48e12, 1e16, 3.767],
  ])('%d bytes at one in %d bits: %d %%', (bytes, bits, percent) => {
    expect(unreadableSectorProbability(bytes, bits) * 100).toBeCloseTo(percent, 2);
  });
});
