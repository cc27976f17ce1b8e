/** One record of the kernel's log. */
export interface LogRecord {
  /** Counts from 0 at boot, one for each record. */
  readonly sequence: number;
  readonly monoMs: number;
  /** 0 (emergency) to 7 (debugging). */
  readonly level: number;
  readonly text: string;
}

/**
 * "6,339,5140900,-;text", further fields before the semicolon, then lines that begin with a space
 * and name the device. Bytes that are not printable come as \xNN. Null for anything else. Source:
 * Linux Documentation/ABI/testing/dev-kmsg.
 */
export function parseLogRecord(record: string): LogRecord | null {
  const [line = ''] = record.split('\n');
  const match = /^(\d{1,10}),(\d{1,15}),(\d{1,18}),[^;]*;(.*)$/s.exec(line);
  if (match === null) return null;
  const [priority, sequence, microseconds] = [match[1], match[2], match[3]].map(Number);
  if (priority === undefined || sequence === undefined || microseconds === undefined) return null;
  return {
    sequence,
    monoMs: microseconds / 1000,
    level: priority & 7,
    text: unescaped(match[4] ?? ''),
  };
}

function unescaped(text: string): string {
  return text.replaceAll(/\\x([0-9a-f]{2})/g, (_whole, hex: string) =>
    String.fromCharCode(Number.parseInt(hex, 16)),
  );
}
