import type { Capture, RawPage } from '../../checks/capture.js';
import { type PageName, pageWords } from '../../checks/record-words.js';
import { PageError } from '../box/layouts/page-error.js';
import { decodeRequestSense } from '../box/layouts/scsi-condition.js';
import { decodeTaskFile } from '../box/layouts/task-file.js';
import { type AbsentState, type Told, told, untold } from './told.js';

/** The pages of one capture. A page that cannot be read is a reason and a remark, no error. */
export interface PageAnswers {
  readonly remarks: string[];
  /** Bytes of the page are there, readable or not. */
  answered(name: PageName): boolean;
  /** The page was asked for, whatever came of it. */
  asked(name: PageName): boolean;
  read<T>(name: PageName, decode: (data: Uint8Array) => T): Told<T>;
}

const pageBytes = 512;

export function openPages(capture: Capture): PageAnswers {
  const remarks: string[] = [];
  const asleep = sleeps(capture);
  const hiddenWhy = whyHidden(capture);
  const read = <T>(name: PageName, decode: (data: Uint8Array) => T): Told<T> => {
    const data = bytesOf(capture, name);
    if (data !== null) return decodeOrRemark({ data, decode, remarks });
    const failed = failureOf(capture, name);
    if (failed === undefined && asleep)
      return untold('The drive sleeps and was not woken', 'asleep');
    if (hiddenWhy !== null) return untold(failed?.reason ?? hiddenWhy, 'not-visible');
    if (failed !== undefined) return untold(failed.reason, stateOfFailure(failed.reason));
    return untold(`The capture holds no ${pageWords(name)}`);
  };
  return {
    remarks,
    read,
    answered: (name) => bytesOf(capture, name) !== null,
    asked: (name) => capture.pages.some((page) => isPage(page, name)),
  };
}

function decodeOrRemark<T>(work: {
  readonly data: Uint8Array;
  readonly decode: (data: Uint8Array) => T;
  readonly remarks: string[];
}): Told<T> {
  try {
    return told(work.decode(work.data));
  } catch (error) {
    if (!(error instanceof PageError)) throw error;
    if (!work.remarks.includes(error.message)) work.remarks.push(error.message);
    return untold(`The page is damaged or of another kind. ${error.message}`);
  }
}

/** The page's bytes; pages of a log that follow each other may lie in one record. */
function bytesOf(capture: Capture, name: PageName): Uint8Array | null {
  const good = capture.pages.filter((page) => page.failed === undefined);
  const exact = good.find((page) => isPage(page, name));
  if (exact !== undefined || name.record !== 'log') return exact?.data ?? null;
  const wanted = name.page ?? 0;
  for (const page of good.filter((one) => one.record === 'log' && one.log === name.log)) {
    const from = (wanted - (page.page ?? 0)) * pageBytes;
    if (from >= 0 && page.data.length >= from + pageBytes) {
      return page.data.subarray(from, from + pageBytes);
    }
  }
  return null;
}

/** A page after the first was not asked for when the first one already failed. */
function failureOf(capture: Capture, name: PageName): RawPage['failed'] {
  const own = capture.pages.find((page) => isPage(page, name))?.failed;
  if (own !== undefined || name.record !== 'log' || name.page === undefined) return own;
  return capture.pages.find((page) => isPage(page, { ...name, page: 0 }))?.failed;
}

function isPage(page: RawPage, name: PageName): boolean {
  return (
    page.record === name.record &&
    page.log === name.log &&
    (page.page ?? 0) === (name.page ?? 0) &&
    (page.subpage ?? 0) === (name.subpage ?? 0) &&
    (name.nsid === undefined || page.nsid === name.nsid)
  );
}

/** Power modes 00h and 01h are the standby states (HGST HC580 p. 138). */
function sleeps(capture: Capture): boolean {
  const modes = capture.pages.map((page) => {
    if (page.failed !== undefined) return null;
    try {
      if (page.record === 'request-sense') return decodeRequestSense(page.data).powerMode;
      if (page.record !== 'power-mode') return null;
      const registers = decodeTaskFile('Power mode', page.data);
      return registers.failed ? null : registers.count & 0xff;
    } catch {
      // An unreadable page is reported where its figure is read; here it only tells nothing.
      return null;
    }
  });
  return modes.some((mode) => mode === 0 || mode === 1);
}

const hidingWords = /\b(bridge|virtual disk|controller|pass-?through)\b/i;

function stateOfFailure(reason: string): AbsentState {
  return hidingWords.test(reason) ? 'not-visible' : 'no-figure';
}

/**
 * A path that answers INQUIRY while the drive behind it gave none of its own records hides the
 * drive. A drive that is itself SCSI is never asked for IDENTIFY DEVICE, so a failed one tells.
 */
function whyHidden(capture: Capture): string | null {
  const ofAta = ['identify-device', 'smart-data', 'smart-thresholds', 'smart-status', 'log'];
  const own = capture.pages.filter((page) => ofAta.includes(page.record));
  const failed = own.find((page) => page.record === 'identify-device' && page.failed !== undefined);
  const bridge = capture.pages.some((page) => page.record === 'inquiry' && !page.failed);
  const reason = failed?.failed?.reason ?? '';
  if (own.some((page) => page.failed === undefined)) return null;
  return failed !== undefined && (bridge || hidingWords.test(reason)) ? reason : null;
}
