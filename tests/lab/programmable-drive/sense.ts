import type { AtaEnd } from './ata-commands.js';

/** Sense data in the fixed format; `information` is the place of the error, when it has one. */
export function fixedSense(
  what: readonly [key: number, code: number, qualifier: number],
  information?: number,
): Buffer {
  const sense = Buffer.alloc(18);
  sense[0] = information === undefined ? 0x70 : 0xf0;
  sense[2] = what[0];
  sense[7] = 10;
  sense[12] = what[1];
  sense[13] = what[2];
  if (information !== undefined) sense.writeUInt32BE(information, 3);
  return sense;
}

const passThroughInformation = [0x00, 0x1d] as const;
const recovered = 0x01;
const abortedCommand = 0x0b;

/** ATA registers as an ATA Status Return descriptor (SAT; Linux 6.1 ata_gen_passthru_sense). */
export function descriptorRegisters(end: AtaEnd): Buffer {
  const failed = (end.status & 1) === 1;
  const sense = Buffer.alloc(22);
  sense[0] = 0x72;
  sense[1] = failed ? abortedCommand : recovered;
  if (!failed) sense.set(passThroughInformation, 2);
  sense[7] = 14;
  sense[8] = 0x09;
  sense[9] = 12;
  sense[11] = end.error;
  sense.writeUInt16BE(end.count & 0xffff, 12);
  for (const [place, byte] of lbaBytesInPairs(end.lba)) sense[14 + place] = byte;
  sense[20] = end.device;
  sense[21] = end.status;
  return sense;
}

/** Descriptor order of the LBA bytes: (31:24) (7:0) (39:32) (15:8) (47:40) (23:16). */
function lbaBytesInPairs(lba: number): (readonly [place: number, byte: number])[] {
  return [3, 0, 4, 1, 5, 2].map((byte, place) => [place, Math.floor(lba / 256 ** byte) % 256]);
}

/** ATA registers in the fixed format (SAT-2 and later, from memory); the upper bytes are lost. */
export function fixedRegisters(end: AtaEnd): Buffer {
  const failed = (end.status & 1) === 1;
  const sense = failed
    ? fixedSense([abortedCommand, 0, 0])
    : fixedSense([recovered, ...passThroughInformation]);
  sense[3] = end.error;
  sense[4] = end.status;
  sense[5] = end.device;
  sense[6] = end.count % 256;
  sense[8] = (end.count > 255 ? 0x40 : 0) | (end.lba >= 2 ** 24 ? 0x20 : 0);
  for (let byte = 0; byte < 3; byte += 1) sense[9 + byte] = Math.floor(end.lba / 256 ** byte) % 256;
  return sense;
}
