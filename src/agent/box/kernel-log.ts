import { closeSync, constants, openSync, readSync } from 'node:fs';
import { setImmediate } from 'node:timers/promises';
import { type Answer, answered } from './box.js';
import { deviceAbsence } from './errno-class.js';
import { type LogRecord, parseLogRecord } from './layouts/kernel-log.js';

/** Longest record with its device lines; Linux kernel/printk/printk.c, PRINTK_MESSAGE_MAX. */
const recordBytesMax = 8192;
/** A log that is written faster than it is read must not hold the agent. */
const recordsMax = 50_000;
const recordsAtOnce = 200;

/**
 * Every record that the kernel still holds and whose number is above `afterSequence`, oldest first.
 * One read gives one record and none waits: the device is opened without blocking. It stays open,
 * so that who goes on from where the answer before ended reads only what is new.
 */
export class KernelLogReader {
  readonly #path: string;
  #kept: { readonly fd: number; readonly readTo: number } | null = null;

  constructor(path: string) {
    this.#path = path;
  }

  async read(afterSequence: number): Promise<Answer<readonly LogRecord[]>> {
    let fd: number;
    try {
      fd = this.#take(afterSequence);
    } catch (error) {
      return { ok: false, absence: deviceAbsence('Opening the kernel log', error) };
    }
    try {
      const records = await recordsOf(fd, afterSequence);
      this.close();
      this.#kept = { fd, readTo: records.at(-1)?.sequence ?? afterSequence };
      return answered(records);
    } catch (error) {
      closeSync(fd);
      return { ok: false, absence: deviceAbsence('Reading the kernel log', error) };
    }
  }

  close(): void {
    if (this.#kept !== null) closeSync(this.#kept.fd);
    this.#kept = null;
  }

  /** Nobody else reads from it meanwhile: it is kept again when it was read to its end. */
  #take(afterSequence: number): number {
    const kept = this.#kept;
    if (kept === null || kept.readTo !== afterSequence) {
      return openSync(this.#path, constants.O_RDONLY | constants.O_NONBLOCK);
    }
    this.#kept = null;
    return kept.fd;
  }
}

async function recordsOf(fd: number, afterSequence: number): Promise<readonly LogRecord[]> {
  const buffer = Buffer.alloc(recordBytesMax);
  const records: LogRecord[] = [];
  for (let count = 0; count < recordsMax; count += 1) {
    if (count % recordsAtOnce === recordsAtOnce - 1) await setImmediate();
    const text = nextRecord(fd, buffer);
    if (text === null) break;
    const record = parseLogRecord(text);
    if (record !== null && record.sequence > afterSequence) records.push(record);
  }
  return records;
}

/** Null at the end. A record that was overwritten while reading (EPIPE) is read past. */
function nextRecord(fd: number, buffer: Buffer): string | null {
  try {
    const bytes = readSync(fd, buffer, 0, buffer.length, null);
    return bytes === 0 ? null : buffer.toString('utf8', 0, bytes);
  } catch (error) {
    const code = error instanceof Error && 'code' in error ? error.code : null;
    if (code === 'EAGAIN') return null;
    if (code === 'EPIPE') return '';
    throw error;
  }
}
