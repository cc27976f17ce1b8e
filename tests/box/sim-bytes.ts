/** Putting bytes down for the simulated drives. Nothing of this is shared with the decoders. */

export function page(bytes: number): Buffer {
  return Buffer.alloc(bytes);
}

/** The last byte makes all of them add up to 0 modulo 256. */
export function withChecksum(bytes: Buffer): Buffer {
  const end = bytes.length - 1;
  bytes[end] = 0;
  const sum = bytes.reduce((total, byte) => total + byte, 0);
  bytes[end] = (256 - (sum % 256)) % 256;
  return bytes;
}

export function putText(target: Buffer, place: { at: number; length: number }, text: string): void {
  target.write(text.padEnd(place.length).slice(0, place.length), place.at, 'latin1');
}

/** ATA strings: in each word the first character is the high byte. */
export function putSwappedText(
  target: Buffer,
  place: { at: number; length: number },
  text: string,
): void {
  putText(target, place, text);
  target.subarray(place.at, place.at + place.length).swap16();
}

/** An unsigned number of up to 16 bytes, lowest byte first. */
export function putLittle(target: Buffer, place: { at: number; length: number }, value: number) {
  let rest = BigInt(Math.floor(value));
  for (let index = 0; index < place.length; index += 1) {
    target[place.at + index] = Number(rest & 0xffn);
    rest >>= 8n;
  }
}

/** An unsigned number of up to 16 bytes, highest byte first. */
export function putBig(target: Buffer, place: { at: number; length: number }, value: number): void {
  putLittle(target, place, value);
  target.subarray(place.at, place.at + place.length).reverse();
}

/** What a transfer of `bytes` brings of a record: cut when short, and never more than there is. */
export function cut(record: Uint8Array, bytes: number): Uint8Array {
  return Uint8Array.from(record.subarray(0, bytes));
}
