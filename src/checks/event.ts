/**
 * Something that happened to a part at one moment, as the kernel or the board's controller wrote
 * it down, or as two looks at the box show it. An event is a fact, not a judgement.
 */
export const eventKinds = [
  'link-reset',
  'link-slowed',
  'link-lost',
  'queue-off',
  'transfer-damaged',
  'command-overdue',
  'command-failed',
  'recovered-error',
  'failure-predicted',
  'drive-fault',
  'drive-too-warm',
  'drive-reset',
  'controller-reset',
  'controller-gone',
  'medium-error',
  'request-failed',
  'write-lost',
  'drive-gone',
  'power-pattern',
  'array-member-failed',
  'array-repaired',
  'array-read-failed',
  'array-failed',
  'file-system-error',
  'file-system-stopped',
  'processor-too-warm',
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

/** Who wrote the record of an event. */
export type RecordSource = 'kernel' | 'controller-or-kernel' | 'looks';

const sources: readonly (readonly [RecordSource, readonly EventKind[]])[] = [
  [
    'looks',
    [
      'part-missing',
      'part-new',
      'part-moved',
      'part-back',
      'identity-shared',
      'firmware-changed',
      'version-changed',
    ],
  ],
  [
    'controller-or-kernel',
    [
      'memory-error',
      'fan-fault',
      'board-too-warm',
      'voltage-out-of-range',
      'supply-fault',
      'power-lost',
      'processor-error',
      'controller-event',
      'controller-log-cleared',
    ],
  ],
];

/**
 * Who wrote the record of an event of this kind: the kernel's log; the log of the board's
 * controller, or the kernel where it tells of the same; or two looks at the box. No unit, no error.
 */
export function recordSource(kind: EventKind): RecordSource {
  return sources.find(([, kinds]) => kinds.includes(kind))?.[0] ?? 'kernel';
}

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
