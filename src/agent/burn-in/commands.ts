import type { BurnInStage } from '../../checks/burn-in-result.js';
import type { Reading } from '../../checks/reading.js';
import type { StretchProgress } from '../workers/protocol-types.js';
import type { WorkerResult } from '../workers/worker.js';
import type { Entry, EventBody } from './journal.js';

/** What happens to a run. */
export type RunEvent =
  /** Nothing is under way: what comes next? */
  | { readonly event: 'go-on' }
  | { readonly event: 'asked'; readonly fromByte: number; readonly toByte: number }
  | { readonly event: 'progress'; readonly progress: StretchProgress }
  | { readonly event: 'worker-ended'; readonly result: WorkerResult }
  | {
      readonly event: 'readings';
      readonly stage: ReadingStage;
      readonly readings: readonly Reading[];
    }
  | { readonly event: 'temperature'; readonly celsius: number; readonly limit: number | null }
  | { readonly event: 'pause' | 'resume' | 'stop' }
  /** The drive of the plan is not to be found, or not surely the same. */
  | { readonly event: 'missing'; readonly text: string }
  | {
      readonly event: 'restarted';
      readonly after: 'power-cut' | 'stop-of-agent' | 'end-of-agent';
    };

export type ReadingStage = 'readings-before' | 'readings-after';

export interface WorkOrder {
  readonly do: 'read' | 'write' | 'verify';
  readonly fromByte: number;
  readonly toByte: number;
}

/** What the engine must do, in this order. Entries are durable before the next command. */
export type Command =
  | { readonly do: 'append'; readonly entry: Entry }
  | { readonly do: 'work'; readonly order: WorkOrder }
  | { readonly do: 'let-write' }
  | { readonly do: 'pause-worker' }
  | { readonly do: 'unpause' }
  | { readonly do: 'end-worker' }
  | { readonly do: 'take-readings'; readonly stage: ReadingStage }
  | { readonly do: 'give-verdict' }
  | { readonly do: 'go-on'; readonly afterMs?: number };

/** What a worker does in each stage that moves data. */
export const workOf: Readonly<Record<Exclude<BurnInStage, ReadingStage>, WorkOrder['do']>> = {
  'full-read': 'read',
  'stamped-write': 'write',
  verify: 'verify',
};

export function note(body: EventBody): Command {
  return { do: 'append', entry: { kind: 'event', body } };
}

/** Ends the run for good: what is left is the verdict. */
export function stop(by: 'person' | 'protection', text: string): readonly Command[] {
  return [note({ event: 'stopped', by, text }), { do: 'end-worker' }, { do: 'go-on' }];
}

export function complete(stage: BurnInStage): readonly Command[] {
  const entry = { kind: 'result', body: { stage, outcome: 'complete' } } as const;
  return [{ do: 'append', entry }, { do: 'go-on' }];
}
