import { countWords, mayFailWords } from '../../protection-words.js';
import type { arrayLayouts } from '../schema.js';

export type Layout = (typeof arrayLayouts)[number];

/** What a layout gives with these members, whatever their speed. */
export interface LayoutFacts {
  readonly layout: Layout;
  /** The layout as people say it: "RAID 6, any two may fail". */
  readonly title: string;
  readonly usableBytes: number;
  readonly survives: { readonly always: number; readonly atBest: number };
  /** Operations on drives that one small write costs. */
  readonly smallWriteOperations: number | null;
}

export interface ShapeInput {
  readonly layout: Layout;
  /** Capacities in bytes. */
  readonly capacities: readonly number[];
  /** Record and sector of RAID-Z in bytes. */
  readonly recordBytes?: number | undefined;
  readonly sectorBytes?: number | undefined;
}

const defaultRecordBytes = 128 * 1024;
const defaultSectorBytes = 4096;

/**
 * Members whose loss a layout bears as parity: 1 for RAID 5 and RAID-Z1, 2 for RAID 6 and RAID-Z2,
 * 3 for RAID-Z3; null for layouts without parity.
 */
export function parityOf(layout: Layout): number | null {
  const parity: Partial<Readonly<Record<Layout, number>>> = {
    raid5: 1,
    raid6: 2,
    raidz1: 1,
    raidz2: 2,
    raidz3: 3,
  };
  return parity[layout] ?? null;
}

/**
 * Capacity and protection of an array. Every member counts as the smallest one. RAID capacities:
 * Patterson, Gibson, Katz 1988, and common practice; RAID-Z loses padding (see `raidzShare`).
 * Throws nothing; members fewer than the layout needs give 0 bytes.
 */
export function layoutFacts(input: ShapeInput): LayoutFacts {
  const { layout, capacities } = input;
  const members = capacities.length;
  const smallest = members === 0 ? 0 : Math.min(...capacities);
  const survives = survivesOf(layout, members);
  return {
    layout,
    title: titleOf(layout, survives),
    usableBytes: Math.floor(smallest * dataMembers(input)),
    survives,
    smallWriteOperations: smallWrite(layout, members),
  };
}

/** Members' worth of user data. */
function dataMembers(input: ShapeInput): number {
  const { layout } = input;
  const members = input.capacities.length;
  const parity = parityOf(layout);
  if (layout === 'single' || layout === 'raid0') return members;
  if (layout === 'mirror' || layout === 'raid1') return Math.min(1, members);
  if (layout === 'raid10') return members / 2;
  if (parity === null || members <= parity) return 0;
  if (layout === 'raid5' || layout === 'raid6') return members - parity;
  const share = raidzShare({
    members,
    parity,
    recordBytes: input.recordBytes ?? defaultRecordBytes,
    sectorBytes: input.sectorBytes ?? defaultSectorBytes,
  });
  return members * share;
}

/**
 * Share of raw space that RAID-Z leaves for data: a record of D sectors takes D plus parity for
 * each row of (members - parity), rounded up to a multiple of (parity + 1). Formula from memory;
 * 4 KiB sectors and 128 KiB records: 3 members 0.667, 4 members 0.727, 6 with 2 parity 0.667.
 */
export function raidzShare(shape: {
  readonly members: number;
  readonly parity: number;
  readonly recordBytes: number;
  readonly sectorBytes: number;
}): number {
  const { members, parity, recordBytes, sectorBytes } = shape;
  const data = Math.max(1, Math.ceil(recordBytes / sectorBytes));
  const withParity = data + parity * Math.ceil(data / (members - parity));
  const total = Math.ceil(withParity / (parity + 1)) * (parity + 1);
  return data / total;
}

function survivesOf(layout: Layout, members: number): LayoutFacts['survives'] {
  const parity = parityOf(layout);
  if (parity !== null) return { always: parity, atBest: parity };
  if (layout === 'mirror' || layout === 'raid1') {
    return { always: Math.max(0, members - 1), atBest: Math.max(0, members - 1) };
  }
  if (layout === 'raid10') return { always: 1, atBest: Math.floor(members / 2) };
  return { always: 0, atBest: 0 };
}

/** Read old data and parity, write both: 4 for one parity, 6 for two (common practice). */
function smallWrite(layout: Layout, members: number): number | null {
  if (layout === 'single' || layout === 'raid0') return 1;
  if (layout === 'mirror' || layout === 'raid1') return members;
  if (layout === 'raid10') return 2;
  if (layout === 'raid5') return 4;
  return layout === 'raid6' ? 6 : null;
}

const names: Readonly<Record<Layout, string>> = {
  single: 'One drive',
  mirror: 'Mirror',
  raid0: 'RAID 0',
  raid1: 'RAID 1',
  raid5: 'RAID 5',
  raid6: 'RAID 6',
  raid10: 'RAID 10',
  raidz1: 'RAID-Z1',
  raidz2: 'RAID-Z2',
  raidz3: 'RAID-Z3',
};

function titleOf(layout: Layout, { always, atBest }: LayoutFacts['survives']): string {
  const best = atBest > always ? `, at best ${countWords(atBest)}` : '';
  return `${names[layout]}, ${mayFailWords(always)}${best}`;
}
