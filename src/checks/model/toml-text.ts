const textLengthMax = 100;

/** A text as a basic string of TOML 1.0, short and on one line; never empty. */
export function tomlText(text: string): string {
  return JSON.stringify(plainText(text)).replaceAll('\u007f', ' ');
}

/** A text without control characters and lone surrogates, at most 100 characters, never empty. */
export function plainText(text: string): string {
  const clean = [...text]
    .map((letter) => (letter < ' ' || letter === '\u007f' || isSurrogate(letter) ? ' ' : letter))
    .join('')
    .trim();
  const cut = clean.slice(0, textLengthMax);
  const whole = isSurrogate(cut.slice(-1)) && cut !== clean ? cut.slice(0, -1) : cut;
  return clean === '' ? 'not told' : whole.trim();
}

/** A name as an id of a model file: other characters become dashes. */
export function idText(text: string): string {
  const plain = text.replace(/[^A-Za-z0-9_:-]+/g, '-').replace(/^[^A-Za-z0-9]+/, '');
  return plain === '' ? 'part' : plain.slice(0, 56);
}

/** Bytes as a capacity of a model file, exact to 6 decimals of its unit: "8.001563 TB". */
export function capacityText(bytes: number): string {
  const units: readonly (readonly [number, string])[] = [
    [1e12, 'TB'],
    [1e9, 'GB'],
    [1e6, 'MB'],
  ];
  const [factor, unit] = units.find(([one]) => bytes >= one) ?? [1, 'B'];
  return `${Number((bytes / factor).toFixed(6))} ${unit}`;
}

/** Bits per second as a link of a model file: "6G", "2.5G", "100M". */
export function linkText(bitsPerSecond: number): string {
  return bitsPerSecond >= 1e9
    ? `${Number((bitsPerSecond / 1e9).toFixed(3))}G`
    : `${Number((bitsPerSecond / 1e6).toFixed(3))}M`;
}

function isSurrogate(letter: string): boolean {
  return letter.length === 1 && /[\ud800-\udfff]/.test(letter);
}
