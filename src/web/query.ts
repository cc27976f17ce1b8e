/** Numbers from addresses are foreign input: anything but a whole number in range is refused. */
export function wholeNumber(
  text: string | undefined,
  range: { readonly from: number; readonly to: number },
): number | null {
  if (text === undefined || !/^\d{1,9}$/.test(text)) return null;
  const value = Number(text);
  return value >= range.from && value <= range.to ? value : null;
}

const nameLengthMax = 200;

/** A part name, metric or place from an address; null when it cannot be one. */
export function nameText(text: string | undefined): string | null {
  return text !== undefined && text.length > 0 && text.length <= nameLengthMax ? text : null;
}
