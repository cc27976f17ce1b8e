import { readFileSync } from 'node:fs';

/** The folder of captures laid down by hand. */
export const captureFolder = new URL('../../../captures/', import.meta.url);

interface HexPage {
  readonly [key: string]: unknown;
  readonly data: string;
}

/** A NAME.hex file as the JSON value of a capture file. Knows nothing of the program's parser. */
export function loadHex(name: string): unknown {
  const lines = readFileSync(new URL(`${name}.hex`, captureFolder), 'utf8').split('\n');
  const pages: HexPage[] = [];
  let head: Record<string, string | number> = {};
  for (const line of lines.map((text) => (text.split('#')[0] ?? '').trimEnd())) {
    if (line.startsWith('capture ')) head = words(line);
    else if (line.startsWith('page ')) pages.push(startPage(line));
    else if (line.trim() !== '') pages.push(withBytes(pages.pop() as HexPage, line));
  }
  return { format: 'bayward-capture', version: 1, ...head, pages };
}

function startPage(line: string): HexPage {
  const [names = '', reason] = line.split(' failed: ');
  const { bytes = 0, ...keys } = words(names);
  const data = Buffer.alloc(Number(bytes)).toString('base64');
  return { ...keys, data, ...(reason === undefined ? {} : { failed: { reason } }) };
}

function withBytes(page: HexPage, line: string): HexPage {
  const [offset = '', ...bytes] = line.trim().split(/\s+/);
  const data = Buffer.from(page.data, 'base64');
  const values = bytes.map((byte) => Number.parseInt(byte, 16));
  if (Number(offset) + values.length > data.length) throw new Error(`Past the page: ${line}`);
  data.set(values, Number(offset));
  return { ...page, data: data.toString('base64') };
}

function words(line: string): Record<string, string | number> {
  const pairs = line.matchAll(/(\w+)=(\S+)/g);
  return Object.fromEntries(
    [...pairs].map(([, key = '', value = '']) => [
      key,
      /^\d+$/.test(value) ? Number(value) : value,
    ]),
  );
}

/** A page by hand: bytes at offsets, zeros elsewhere. */
export function pageOf(size: number, places: Readonly<Record<number, string>>): Uint8Array {
  const page = new Uint8Array(size);
  for (const [offset, text] of Object.entries(places)) {
    const bytes = text.split(' ').map((byte) => Number.parseInt(byte, 16));
    page.set(bytes, Number(offset));
  }
  return page;
}
