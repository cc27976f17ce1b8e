/** The text with its first letter in capital. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** The text as it stands within a sentence; words written in capitals, such as PCI, stay. */
export function lowerFirst(text: string): string {
  const second = text.charAt(1);
  const isAcronym = second !== second.toLowerCase();
  return isAcronym ? text : text.charAt(0).toLowerCase() + text.slice(1);
}
