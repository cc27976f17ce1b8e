import type { Channel } from './inbox.js';
import { decodeToWorker, encodeFromWorker } from './protocol.js';

/** The worker's end of the line, and a way to wait until everything said has left. */
export interface IpcChannel extends Channel {
  drained(): Promise<void>;
}

/** Over the process's own message channel. */
export function ipcChannel(line: NodeJS.Process): IpcChannel {
  const leaving = new Set<Promise<void>>();
  return {
    send: (message) => {
      // A parent that is gone is noticed by the closed channel, not by a failed send.
      if (!line.connected) return;
      const left = new Promise<void>((resolve) => {
        line.send?.(encodeFromWorker(message), undefined, {}, () => resolve());
      });
      leaving.add(left);
      void left.then(() => leaving.delete(left));
    },
    onMessage: (take) => {
      line.on('message', (text) => {
        const decoded = decodeToWorker(text);
        if (decoded.ok) take(decoded.message);
        else if (line.connected) line.disconnect();
      });
    },
    onClose: (take) => {
      line.on('disconnect', take);
    },
    drained: async () => {
      await Promise.all(leaving);
    },
  };
}
