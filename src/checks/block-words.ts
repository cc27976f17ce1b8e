/**
 * The blocks that a drive is asked in, beside those of its medium, in bytes: "512 bytes over 4096
 * on its medium (512e)". The trade's names stand behind the two pairs that have one. Never throws.
 */
export function blockWords(logicalBytes: number, physicalBytes: number): string {
  if (logicalBytes === 4096 && physicalBytes === 4096) return '4096 bytes (4Kn)';
  if (physicalBytes <= logicalBytes) return `${logicalBytes} bytes`;
  const name = logicalBytes === 512 && physicalBytes === 4096 ? ' (512e)' : '';
  return `${logicalBytes} bytes over ${physicalBytes} on its medium${name}`;
}
