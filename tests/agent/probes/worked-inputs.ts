import type { SmartAttribute } from '../../../src/agent/box/layouts/ata-smart.js';
import { interpret } from '../../../src/agent/probes/interpret.js';
import type { RawPage } from '../../../src/checks/capture.js';
import { pageOf } from '../box/layouts/load-hex.js';

/** Where an input and what is expected of it come from. */
export const marks = ['standard', 'vendor document', 'thread', 'rule-derived', 'invented'] as const;

export interface WorkedInput {
  readonly what: string;
  readonly mark: (typeof marks)[number];
  /** Where it can be read, or how it was worked out. */
  readonly source: string;
  readonly decode: () => unknown;
  readonly expected: unknown;
}

/** An attribute with its raw bytes, lowest first, as they lie on the wire: six, or seven. */
export function attribute(id: number, bytes: string, current = 100): SmartAttribute {
  const rawBytes = Uint8Array.from(bytes.split(' '), (byte) => Number.parseInt(byte, 16));
  const raw = rawBytes.subarray(0, 6).reduceRight((sum, byte) => sum * 256 + byte, 0);
  return { id, flags: 0, preFail: false, current, worst: current, raw, rawBytes };
}

/** A page of 512 bytes whose last byte makes its sum 0, as the checksum of ATA wants. */
export function summed(places: Readonly<Record<number, string>>): Uint8Array {
  const page = pageOf(512, places);
  const sum = page.reduce((total, byte) => total + byte, 0);
  page[511] = -sum & 0xff;
  return page;
}

export function readAta(...pages: readonly RawPage[]): ReturnType<typeof interpret> {
  return interpret({ taken: '2026-02-14T09:30:00Z', commandSet: 'ata', pages });
}

export function readNvme(...pages: readonly RawPage[]): ReturnType<typeof interpret> {
  return interpret({ taken: '2026-02-14T09:30:00Z', commandSet: 'nvme', pages });
}
