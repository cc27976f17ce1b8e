/**
 * What a link lets through. `bytesPerSecond` is the encoded rate (signalling less line coding);
 * `low` and `high` bound the user data that is left after the link's own packets, `usable` is the
 * figure to work with.
 */
export interface Ceiling {
  readonly bytesPerSecond: number;
  readonly usable: number;
  readonly low: number;
  readonly high: number;
  readonly why: string;
  readonly source: string;
}

interface Generation {
  readonly gigatransfersPerSecond: number;
  readonly encodedBits: number;
  readonly lineBits: number;
}

/** Signalling and line coding of PCI Express; Linux 6.1 drivers/pci/pci.h PCIE_SPEED2MBS_ENC. */
const generations: Readonly<Record<number, Generation>> = {
  1: { gigatransfersPerSecond: 2.5, encodedBits: 8, lineBits: 10 },
  2: { gigatransfersPerSecond: 5, encodedBits: 8, lineBits: 10 },
  3: { gigatransfersPerSecond: 8, encodedBits: 128, lineBits: 130 },
  4: { gigatransfersPerSecond: 16, encodedBits: 128, lineBits: 130 },
  5: { gigatransfersPerSecond: 32, encodedBits: 128, lineBits: 130 },
};

/**
 * Bytes around each packet's payload: 20 to 28, 24 in the middle. Intel AN 708 and AN 829,
 * "Understanding PCI Express Throughput".
 */
const packetOverheadBytes = { least: 20, middle: 24, most: 28 };

/** Payload that every part must carry, and the largest that is common (PEX 8532 data book). */
export const payloadBytesLeast = 128;
const payloadBytesCommon = 256;

/** 530 to 560 of 600 MB/s reach a person on a 6 Gb/s port (common practice, no source). */
const sataPayloadShare = { low: 530 / 600, usable: 550 / 600, high: 560 / 600 };

/**
 * Encoded rate of one PCI Express lane in bytes per second, each direction: 250, 500, 984.6, 1969.2
 * and 3938.5 MB/s for generations 1 to 5. Null for a generation that is not known.
 */
export function laneBytesPerSecond(generation: number): number | null {
  const known = generations[generation];
  if (known === undefined) return null;
  const { gigatransfersPerSecond, encodedBits, lineBits } = known;
  return (gigatransfersPerSecond * 1e9 * encodedBits) / lineBits / 8;
}

/** The generation whose signalling rate this is (2.5, 5, 8, 16 or 32 GT/s), or null. */
export function generationOf(gigatransfersPerSecond: number | null): number | null {
  const entry = Object.entries(generations).find(
    ([, one]) => one.gigatransfersPerSecond === gigatransfersPerSecond,
  );
  return entry === undefined ? null : Number(entry[0]);
}

/**
 * Ceiling of a PCI Express link, each direction; null when generation or lanes are not known.
 * `payloadBytes` is the packet size that the whole path agreed on; where it is not known, `high`
 * allows for 256 bytes and the rest reckons with 128.
 */
export function pciCeiling(
  generation: number,
  lanes: number,
  payloadBytes?: number,
): Ceiling | null {
  const lane = laneBytesPerSecond(generation);
  if (lane === null || !Number.isInteger(lanes) || lanes < 1) return null;
  const bytesPerSecond = lane * lanes;
  const payload = payloadBytes ?? payloadBytesLeast;
  const share = (bytes: number, overhead: number) => (bytesPerSecond * bytes) / (bytes + overhead);
  return {
    bytesPerSecond,
    usable: share(payload, packetOverheadBytes.middle),
    low: share(payload, packetOverheadBytes.most),
    high: share(payloadBytes ?? payloadBytesCommon, packetOverheadBytes.least),
    why: `${lanes} ${lanes === 1 ? 'lane' : 'lanes'} of PCI Express generation ${generation}`,
    source: 'Linux 6.1 drivers/pci/pci.h; payload share: Intel AN 708 and AN 829',
  };
}

/**
 * Ceiling of a SATA or SAS link with 8b/10b coding (1.5, 3, 6 and 12 Gb/s: 150, 300, 600 and 1200
 * MB/s, arithmetic); null when the rate is none of these.
 */
export function diskLinkCeiling(bitsPerSecond: number): Ceiling | null {
  if (![1.5e9, 3e9, 6e9, 12e9].includes(bitsPerSecond)) return null;
  const bytesPerSecond = bitsPerSecond / 10;
  return {
    bytesPerSecond,
    usable: bytesPerSecond * sataPayloadShare.usable,
    low: bytesPerSecond * sataPayloadShare.low,
    high: bytesPerSecond * sataPayloadShare.high,
    why: `a disk link at ${bitsPerSecond / 1e9} Gb/s`,
    source: '8b/10b line coding; 530 to 560 MB/s of 600 in practice (common practice, no source)',
  };
}

/** A wide port: so many links side by side, as between a controller and an expander. */
export function scaledCeiling(one: Ceiling, links: number): Ceiling {
  return {
    ...one,
    bytesPerSecond: one.bytesPerSecond * links,
    usable: one.usable * links,
    low: one.low * links,
    high: one.high * links,
    why: links === 1 ? one.why : `${links} links side by side, each ${one.why}`,
  };
}
