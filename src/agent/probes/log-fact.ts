import type { BoxEvent, EventKind } from '../../checks/event.js';

/** How the kernel named what a line is about, valid for this boot. */
export interface LogSubject {
  readonly by:
    | 'ata-port'
    | 'scsi-address'
    | 'scsi-host'
    | 'block-name'
    | 'nvme-controller'
    | 'pci'
    | 'usb-port'
    | 'array'
    /** The only card that this driver runs. */
    | 'driver'
    | 'box';
  readonly name: string;
}

/**
 * What is no event but decides what later lines mean: a drive was found at an address, a port or an
 * address carries a drive that is ready, a drive was powered or reset, the box slept and woke up.
 */
export type MarkKind = 'found' | 'link-up' | 'power-on' | 'suspended' | 'awake';

/** What one line of the kernel's log says, in our words. */
export interface LogFact {
  readonly sequence: number;
  readonly monoMs: number;
  readonly kind: EventKind | MarkKind;
  readonly subject: LogSubject;
  /** In 512-byte units, or in the drive's own blocks. */
  readonly position: { readonly unit: '512-bytes' | 'blocks'; readonly number: number } | null;
  readonly text: string;
  readonly record: string;
}

/** A fact that is an event. */
export interface EventFact extends LogFact {
  readonly kind: EventKind;
}

export interface PartEvent {
  readonly identityKey: string | null;
  readonly event: BoxEvent;
}

/** What a rule finds; `subject` where it is another than the one that the line begins with. */
export type Found = Pick<LogFact, 'kind' | 'text'> & {
  readonly position?: LogFact['position'];
  readonly subject?: LogSubject;
};

export type Rule = readonly [RegExp, (match: RegExpExecArray) => Found | null];

export function says(kind: Found['kind'], text: string): () => Found {
  return () => ({ kind, text });
}

/** What the first rule says that fits, or null. */
export function firstOf(rules: readonly Rule[], text: string): Found | null {
  for (const [pattern, make] of rules) {
    const match = pattern.exec(text);
    if (match !== null) return make(match);
  }
  return null;
}

export const goneAfterErrors = 'The kernel gave the drive up after errors';
