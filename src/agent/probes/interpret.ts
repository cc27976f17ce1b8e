import type { Capture } from '../../checks/capture.js';
import { interpretAta } from './interpret-ata.js';
import { interpretNvme } from './interpret-nvme.js';
import { interpretScsi } from './interpret-scsi.js';
import type { Interpretation, Learned } from './interpretation.js';
import { openPages } from './page-answers.js';
import { plausibleWarmth } from './plausible-warmth.js';

const interpreters = { ata: interpretAta, nvme: interpretNvme, scsi: interpretScsi } as const;

/**
 * All raw records of one drive as figures in plain words. Bad bytes never end in an error: each
 * page that cannot be read leaves its figures without a number, with the reason, and a remark.
 */
export function interpret(capture: Capture, learned: Learned = {}): Interpretation {
  const found = interpretAsGiven(capture, learned);
  return { ...found, readings: found.readings.map(plausibleWarmth) };
}

/** The same with figures that no drive can have, to see what each byte does to them. */
export function interpretAsGiven(capture: Capture, learned: Learned = {}): Interpretation {
  const pages = openPages(capture);
  const found = interpreters[capture.commandSet](capture, pages, learned);
  return { ...found, remarks: [...new Set([...pages.remarks, ...found.remarks])] };
}
