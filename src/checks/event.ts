/**
 * Something that happened to a part at one moment, as the kernel or the board's controller wrote
 * it down, or as two looks at the box show it. An event is a fact, not a judgement.
 */
export const eventKinds = [
  'link-reset',
  'link-slowed',
  'link-lost',
  'transfer-damaged',
  'command-overdue',
  'medium-error',
  'request-failed',
  'drive-gone',
  'power-pattern',
  'pci-error',
  'log-gap',
  'part-missing',
  'part-new',
  'part-moved',
  'part-back',
  'identity-shared',
  'firmware-changed',
  'version-changed',
  'memory-error',
  'fan-fault',
  'board-too-warm',
  'voltage-out-of-range',
  'supply-fault',
  'power-lost',
  'processor-error',
  'controller-event',
  'controller-log-cleared',
] as const;

export type EventKind = (typeof eventKinds)[number];

export interface BoxEvent {
  readonly kind: EventKind;
  /** Tells events apart within one boot: the same key twice is the same event. */
  readonly key: string;
  /** Milliseconds since boot when it happened. */
  readonly monoMs: number;
  /** Where on the drive, in bytes from its start; null where it has no place. */
  readonly positionBytes: number | null;
  /** One sentence for a person, without names that the kernel gives. */
  readonly text: string;
  /** The line or the two states that say so, as found. */
  readonly record: string;
}
