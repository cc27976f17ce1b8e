/** The text with its first letter in capital. Pure; never throws. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/**
 * The text as it stands within a sentence; words written in capitals, such as PCI or NVMe, stay.
 * Pure; never throws.
 */
export function lowerFirst(text: string): string {
  const [first = ''] = text.split(/[ ,]/);
  return /[A-Z]/.test(first.slice(1)) ? text : text.charAt(0).toLowerCase() + text.slice(1);
}
