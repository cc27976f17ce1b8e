import { openReader } from '../agent/store/read.js';
import type { StoreReader } from '../agent/store/store.js';
import { exitCodes, UserError } from '../checks/user-error.js';

/**
 * Opens the store when it is first needed and keeps it open. A store that cannot be opened is
 * tried again at the next question: the agent may just be making it.
 */
export function storeDoor(path: string): { open(): StoreReader | UserError; close(): void } {
  let reader: StoreReader | null = null;
  return {
    open: () => {
      if (reader !== null) return reader;
      const opened = tryOpen(path);
      if (!(opened instanceof UserError)) reader = opened;
      return opened;
    },
    close: () => {
      reader?.close();
      reader = null;
    },
  };
}

function tryOpen(path: string): StoreReader | UserError {
  try {
    return openReader(path);
  } catch (error) {
    if (error instanceof UserError) return error;
    const text = error instanceof Error ? error.message : String(error);
    return new UserError('store-not-opened', `Store ${path} could not be opened: ${text}`, {
      exitCode: exitCodes.interrupted,
    });
  }
}
