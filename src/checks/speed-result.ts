/** What is measured: a transfer path named by `drive:SERIAL`, `group:PART`, `array:NAME`. */
export interface SpeedResult {
  /** One run measures several places; all of them carry its number. */
  readonly run: number;
  readonly path: string;
  readonly direction: 'read' | 'write';
  readonly streams: number;
  /** Byte position of the place on the drive. */
  readonly place?: number;
  readonly bytesPerSecond: number | null;
  /** Slowest and fastest slice within this place's measurement. */
  readonly low: number | null;
  readonly high: number | null;
  readonly seconds: number;
  readonly conditions: SpeedConditions;
  readonly complete: boolean;
  /** Why the measurement is not complete or has no figure. */
  readonly reason?: string;
  readonly limit?: { readonly part: string; readonly evidence: string };
  readonly verdict: 'met' | 'short' | 'unknown';
}

export interface SpeedConditions {
  readonly temperature: number | null;
  /** Share of the measured seconds in which other requests reached the drive, 0 to 1. */
  readonly otherLoad: number | null;
  readonly linkSpeed: string | null;
  readonly lanes: number | null;
}
