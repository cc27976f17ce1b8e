import type { Box } from '../box/box.js';

/** A kernel file's text without spaces at its ends, or null when it cannot be read. */
export async function textOrNull(box: Box, path: string): Promise<string | null> {
  const answer = await box.kernelText(path);
  return answer.ok ? answer.value.trim() : null;
}

/** A kernel file that holds one whole number, or null when it is absent or holds anything else. */
export async function numberOrNull(box: Box, path: string): Promise<number | null> {
  const text = await textOrNull(box, path);
  return text === null ? null : wholeNumber(text);
}

/** A kernel file's bytes, or null. */
export async function bytesOrNull(box: Box, path: string): Promise<Uint8Array | null> {
  const answer = await box.kernelBytes(path);
  return answer.ok ? answer.value : null;
}

/** Names in a kernel folder; none when the folder is absent. */
export async function namesIn(box: Box, path: string): Promise<readonly string[]> {
  const answer = await box.kernelFolder(path);
  return answer.ok ? answer.value : [];
}

/** Where a kernel path ends after all links, or null when it is absent. */
export async function realPathOrNull(box: Box, path: string): Promise<string | null> {
  const answer = await box.kernelRealPath(path);
  return answer.ok ? answer.value : null;
}

/** Decimal digits with an optional sign as a safe number; null for every other text. */
export function wholeNumber(text: string): number | null {
  if (!/^-?\d{1,16}$/.test(text)) return null;
  const value = Number(text);
  return Number.isSafeInteger(value) ? value : null;
}
