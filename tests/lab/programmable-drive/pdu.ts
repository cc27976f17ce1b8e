/** Basic header segment of every iSCSI protocol data unit (RFC 7143, section 11.2). */
export const headerBytes = 48;

/** Operation codes of RFC 7143, section 11.2.1.2, that a target of one drive meets. */
export const operations = {
  nopOut: 0x00,
  scsiCommand: 0x01,
  taskManagement: 0x02,
  login: 0x03,
  text: 0x04,
  dataOut: 0x05,
  logout: 0x06,
  nopIn: 0x20,
  scsiResponse: 0x21,
  taskManagementAnswer: 0x22,
  loginAnswer: 0x23,
  textAnswer: 0x24,
  dataIn: 0x25,
  logoutAnswer: 0x26,
  readyToTransfer: 0x31,
  reject: 0x3f,
} as const;

export interface Pdu {
  readonly header: Buffer;
  readonly data: Buffer;
}

export function operationOf(pdu: Pdu): number {
  return (pdu.header[0] ?? 0) & 0x3f;
}

export function isImmediate(pdu: Pdu): boolean {
  return ((pdu.header[0] ?? 0) & 0x40) !== 0;
}

/** Initiator task tag: ties an answer to its question. */
export function taskTag(pdu: Pdu): number {
  return pdu.header.readUInt32BE(16);
}

/** Collects bytes of a connection and gives whole data units. No digests are negotiated. */
export class PduReader {
  #held: Buffer = Buffer.alloc(0);

  push(bytes: Buffer): Pdu[] {
    this.#held = this.#held.length === 0 ? bytes : Buffer.concat([this.#held, bytes]);
    const whole: Pdu[] = [];
    for (let pdu = this.#take(); pdu !== null; pdu = this.#take()) whole.push(pdu);
    return whole;
  }

  #take(): Pdu | null {
    const held = this.#held;
    if (held.length < headerBytes) return null;
    const additionalBytes = (held[4] ?? 0) * 4;
    const dataBytes = held.readUIntBE(5, 3);
    const total = headerBytes + additionalBytes + padded(dataBytes);
    if (held.length < total) return null;
    const dataFrom = headerBytes + additionalBytes;
    this.#held = held.subarray(total);
    return {
      header: held.subarray(0, headerBytes),
      data: held.subarray(dataFrom, dataFrom + dataBytes),
    };
  }
}

function padded(bytes: number): number {
  return (bytes + 3) & ~3;
}

/** An empty header with its operation and task tag. */
export function makeHeader(operation: number, tag: number): Buffer {
  const header = Buffer.alloc(headerBytes);
  header[0] = operation;
  header[1] = 0x80;
  header.writeUInt32BE(tag, 16);
  return header;
}

/** Header and data as they travel: the length filled in, the data padded to four bytes. */
export function packPdu(header: Buffer, data: Buffer = Buffer.alloc(0)): Buffer {
  header.writeUIntBE(data.length, 5, 3);
  const padding = Buffer.alloc(padded(data.length) - data.length);
  return Buffer.concat([header, data, padding]);
}

/** The `key=value` pairs of a login or text unit (RFC 7143, section 6.1). */
export function readKeys(data: Buffer): Map<string, string> {
  const pairs = data
    .toString('latin1')
    .split('\0')
    .filter((pair) => pair.includes('='));
  return new Map(
    pairs.map((pair) => [pair.slice(0, pair.indexOf('=')), pair.slice(pair.indexOf('=') + 1)]),
  );
}

export function packKeys(keys: ReadonlyMap<string, string>): Buffer {
  return Buffer.from([...keys].map(([key, value]) => `${key}=${value}\0`).join(''), 'latin1');
}
