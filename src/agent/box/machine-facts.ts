import systeminformation from 'systeminformation';
import type { MachineFacts } from './box.js';

/** What firmware writes when its maker filled nothing in. */
const fillers = /^(default string|to be filled by o\.?e\.?m\.?|none|unknown|not specified|-)?$/i;

/** Board and processor by name; null where the firmware tells nothing or it cannot be asked. */
export async function readMachineFacts(): Promise<MachineFacts> {
  const board = await systeminformation.baseboard().catch(() => null);
  const processor = await systeminformation.cpu().catch(() => null);
  return {
    board: board && joinNames(board.manufacturer, board.model),
    processor: processor && joinNames(processor.manufacturer, processor.brand),
  };
}

/** Maker and model in one, the maker once: "Acme" and "Acme X1" give "Acme X1". */
export function joinNames(maker: string, model: string): string | null {
  const parts = [maker, model].map((part) => part.trim()).filter((part) => !fillers.test(part));
  const [first, second] = parts;
  if (first && second?.toLowerCase().startsWith(first.toLowerCase())) return second;
  return parts.length === 0 ? null : parts.join(' ');
}
