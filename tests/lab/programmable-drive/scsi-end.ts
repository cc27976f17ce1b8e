import { fixedSense } from './sense.js';

/** How a SCSI command ended, or that it never will. */
export type ScsiEnd =
  | {
      readonly kind: 'answer';
      readonly status: number;
      readonly sense: Buffer | null;
      readonly data: Buffer | null;
      readonly delayMs: number;
    }
  | { readonly kind: 'hang' };

export function good(data: Buffer | null = null, delayMs = 0): ScsiEnd {
  return { kind: 'answer', status: 0, sense: null, data, delayMs };
}

/**
 * ILLEGAL REQUEST with its additional sense code: 20h unknown command, 24h bad field, 21h range.
 */
export function refused(code: number): ScsiEnd {
  return { kind: 'answer', status: 2, sense: fixedSense([5, code, 0]), data: null, delayMs: 0 };
}
