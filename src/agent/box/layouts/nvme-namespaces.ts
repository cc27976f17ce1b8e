import { bit, pageReader } from './bytes.js';
import { PageError } from './page-error.js';

const listBytes = 4096;

/**
 * Active namespaces (Identify, CNS 2): up to 1024 numbers of 4 bytes, rising; the first 0 ends the
 * list (NVM Express, from memory).
 */
export function decodeNamespaceList(data: Uint8Array): readonly number[] {
  const page = pageReader('List of namespaces', data);
  page.part(0, listBytes);
  const all = Array.from({ length: listBytes / 4 }, (_, index) => page.le32(4 * index));
  const end = all.indexOf(0);
  const used = end < 0 ? all : all.slice(0, end);
  if (used.some((number, index) => index > 0 && number <= (used[index - 1] ?? 0))) {
    throw new PageError(page.record, 'rising numbers', used.slice(0, 4).join(', '));
  }
  return used;
}

/** How a namespace is laid out, beside its size. */
export interface NamespaceFormat {
  /** Blocks that hold something, as the drive reckons. */
  readonly blocksUsed: bigint;
  readonly blockBytes: number;
  /** Bytes that lie beside each block and that no plain file system can use. */
  readonly metadataBytes: number;
  /** Type 1 to 3 of the protection of each block; null without. */
  readonly protectionType: number | null;
  /** The drive may have promised more than it holds. */
  readonly thinlyProvided: boolean;
}

/**
 * Identify Namespace (CNS 0): the format in use is the one that byte 26 points at, of up to 16 of 4
 * bytes from byte 128 on, or of up to 64 where byte 25 counts more. NVM Express, from memory.
 */
export function decodeNamespaceFormat(data: Uint8Array): NamespaceFormat {
  const page = pageReader('Identify Namespace', data);
  page.part(0, 384);
  const chosen = page.u8(26);
  const more = page.u8(25) > 15 ? ((chosen >>> 5) & 0b11) * 16 : 0;
  const at = 128 + 4 * ((chosen & 0xf) + more);
  const shift = page.u8(at + 2);
  if (shift < 9 || shift > 16) {
    throw new PageError(page.record, 'blocks of 2^9 to 2^16 bytes', `2^${shift}`);
  }
  return {
    blocksUsed: page.le64(16),
    blockBytes: 2 ** shift,
    metadataBytes: page.le16(at),
    protectionType: protectionType(page.u8(29) & 0b111),
    thinlyProvided: bit(page.u8(24), 0),
  };
}

/** 0 is none; 4 and above are kept free. */
function protectionType(code: number): number | null {
  return code >= 1 && code <= 3 ? code : null;
}
