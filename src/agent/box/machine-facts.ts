import systeminformation from 'systeminformation';
import type { FirmwareModule, MachineFacts } from './box.js';

/** What firmware writes when its maker filled nothing in. */
const fillers = /^(default string|to be filled by o\.?e\.?m\.?|none|unknown|not specified|-)?$/i;

/** Board and processor by name; null where the firmware tells nothing or it cannot be asked. */
export async function readMachineFacts(): Promise<MachineFacts> {
  const board = await systeminformation.baseboard().catch(() => null);
  const processor = await systeminformation.cpu().catch(() => null);
  modulesOnce ??= readModules();
  return {
    board: board && joinNames(board.manufacturer, board.model),
    processor: processor && joinNames(processor.manufacturer, processor.brand),
    memoryModules: await modulesOnce,
  };
}

/** Memory does not change while the box is on, and asking for it starts a program each time. */
let modulesOnce: Promise<readonly FirmwareModule[] | null> | null = null;

async function readModules(): Promise<readonly FirmwareModule[] | null> {
  const layout = await systeminformation.memLayout().catch(() => null);
  return layout === null ? null : modulesOf(layout);
}

/** What is used of a module that the library lists. */
export interface ListedModule {
  readonly size: number;
  readonly bank: string;
  readonly type: string;
  readonly manufacturer?: string;
  readonly partNum: string;
  readonly serialNum: string;
}

/**
 * Modules that firmware tables really list. Where the tables cannot be read, the library makes up
 * one module without a place: then nothing is known, which is null and no empty list.
 */
export function modulesOf(layout: readonly ListedModule[]): readonly FirmwareModule[] | null {
  const listed = layout.filter(({ bank }) => bank.trim() !== '');
  if (listed.length === 0) return null;
  return listed
    .filter(({ size, type }) => size > 0 && type !== 'Empty')
    .map(({ size, bank, type, manufacturer = '', partNum, serialNum }) => ({
      slot: bank.trim(),
      sizeBytes: size,
      type: told(type),
      maker: told(manufacturer),
      model: told(partNum),
      serial: /^0+$/.test(serialNum.trim()) ? null : told(serialNum),
    }));
}

function told(text: string): string | null {
  const plain = text.trim();
  return fillers.test(plain) ? null : plain;
}

/** Maker and model in one, the maker once: "Acme" and "Acme X1" give "Acme X1". */
export function joinNames(maker: string, model: string): string | null {
  const parts = [maker, model].map((part) => part.trim()).filter((part) => !fillers.test(part));
  const [first, second] = parts;
  if (first && second?.toLowerCase().startsWith(first.toLowerCase())) return second;
  return parts.length === 0 ? null : parts.join(' ');
}
