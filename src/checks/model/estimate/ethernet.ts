/** How packets travel on an Ethernet link. */
export interface EthernetTerms {
  readonly bitsPerSecond: number;
  /** Largest packet in bytes, 1500 unless both ends and all between carry more. */
  readonly mtuBytes?: number;
  readonly ipVersion?: 4 | 6;
  /** TCP timestamps, on by default in Linux (Linux 6.1 ip-sysctl.rst). */
  readonly timestamps?: boolean;
  readonly vlan?: boolean;
}

/** Preamble 7, start 1, header 14, check 4, gap 12 (RFC 6349 section 4.1.1). */
const frameOverheadBytes = 38;
/** Header 14 and check 4 of the above. */
const headerAndCheckBytes = 18;
const vlanBytes = 4;
const tcpBytes = 20;
/** 10 bytes and padding (RFC 7323, from memory). */
const timestampBytes = 12;
const ipBytes = { 4: 20, 6: 40 } as const;
/** Preamble, start and gap around a frame that already counts its header and check. */
const betweenFramesBytes = 20;

/**
 * User data of one TCP connection in bytes per second on a link that is kept full, each direction:
 * 117.69 MB/s of 1 Gb/s and 1176.85 MB/s of 10 Gb/s at 1500 bytes with timestamps. RFC 6349 section
 * 4.1.1 with RFC 5180 frame rates.
 */
export function tcpBytesPerSecond(terms: EthernetTerms): number {
  const { mtuBytes = 1500, ipVersion = 4, timestamps = true, vlan = false } = terms;
  const headers = ipBytes[ipVersion] + tcpBytes + (timestamps ? timestampBytes : 0);
  const onWire = mtuBytes + frameOverheadBytes + (vlan ? vlanBytes : 0);
  return ((terms.bitsPerSecond / 8) * (mtuBytes - headers)) / onWire;
}

/**
 * Whole frames a second that a link carries; `frameBytes` counts header and check. 81 274 for 1518
 * bytes at 1 Gb/s (RFC 5180 appendix A.1; RFC 2544 appendix B).
 */
export function framesPerSecond(bitsPerSecond: number, frameBytes: number): number {
  return Math.floor(bitsPerSecond / (8 * (frameBytes + betweenFramesBytes)));
}

/** Bytes of a frame whose packet is full, with header, check and VLAN tag: 1518 for 1500. */
export function fullFrameBytes({ mtuBytes = 1500, vlan = false }: EthernetTerms): number {
  return mtuBytes + headerAndCheckBytes + (vlan ? vlanBytes : 0);
}
