/** What the host asks the runner inside the machine, one JSON line each. */
export type GuestRequest =
  | {
      readonly id: number;
      readonly kind: 'run';
      readonly argv: readonly string[];
      readonly deadlineMs: number;
      readonly input: string;
    }
  | {
      readonly id: number;
      readonly kind: 'start';
      readonly argv: readonly string[];
      readonly logFile: string;
    }
  | { readonly id: number; readonly kind: 'kill'; readonly pid: number; readonly signal: string };

/** How a program ended inside the machine. */
export interface GuestEnd {
  readonly status: number | null;
  readonly signal: string | null;
  readonly printed: string;
  readonly complaints: string;
  readonly tookMs: number;
}

export type GuestReply =
  | { readonly id: number; readonly end: GuestEnd }
  | { readonly id: number; readonly pid: number }
  | { readonly id: number; readonly error: string };

export const channelName = 'bayward.lab';
