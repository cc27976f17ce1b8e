import {
  type Capture,
  type CommandSet,
  type RawPage,
  type RecordName,
  recordNames,
} from '../../../checks/capture.js';
import { nearestName } from '../../../checks/model/nearest-name.js';
import {
  asList,
  asNumber,
  asText,
  asThing,
  damaged,
  onlyKeys,
  type Thing,
} from './capture-values.js';

const format = 'bayward-capture';
const version = 1;
const pagesMax = 4096;
const pageBytesMax = 1024 * 1024;
const commandSets: readonly CommandSet[] = ['ata', 'nvme', 'scsi'];
const numberKeys = { log: 0xff, subpage: 0xff, page: 0xffff, nsid: 0xffff_ffff } as const;

/** Records that mean nothing without saying which one of them. */
const neededNumber: Partial<Readonly<Record<RecordName, keyof typeof numberKeys>>> = {
  log: 'log',
  'nvme-log': 'log',
  'log-sense': 'log',
  vpd: 'page',
  'sct-error-recovery': 'page',
  'mode-sense': 'page',
  'nvme-feature': 'page',
};

/** A captured file back to pages. Refuses the whole file when any of it is not understood. */
export function parseCaptureFile(text: string): Capture {
  const file = asThing(parseJson(text), 'The file');
  const keys = ['format', 'version', 'taken', 'commandSet', 'pages'];
  if (file.format !== format) {
    throw damaged(`The file is not a capture: "format" is not "${format}"`);
  }
  if (file.version !== version) {
    const hint = 'It may come from a newer Bayward';
    throw damaged(`"version" must be ${version}, found ${show(file.version)}`, hint);
  }
  onlyKeys(file, keys, 'The file');
  const pages = asList(file.pages, { name: '"pages"', most: pagesMax }).map(rawPage);
  refuseTwice(pages);
  return { taken: taken(file.taken), commandSet: commandSet(file.commandSet), pages };
}

/** A capture as a file: one page a line, so that two captures can be compared line by line. */
export function formatCaptureFile(capture: Capture): string {
  const { taken: when, commandSet: set, pages } = capture;
  const head = JSON.stringify({ format, version, taken: when, commandSet: set }).slice(0, -1);
  const lines = pages.map((page) => JSON.stringify(filePage(page)));
  return `${head},"pages":[\n${lines.join(',\n')}\n]}\n`;
}

function filePage(page: RawPage): Thing {
  const { record, log, subpage, page: number, nsid, data, failed } = page;
  const base64 = Buffer.from(data).toString('base64');
  return { record, log, subpage, page: number, nsid, data: base64, failed };
}

function parseJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    const hint = 'A captured file is made by bayward capture';
    throw damaged('The file is not a capture: it is not JSON', hint);
  }
}

function rawPage(value: unknown, index: number): RawPage {
  const where = `Page ${index + 1}`;
  const page = asThing(value, where);
  onlyKeys(page, ['record', ...Object.keys(numberKeys), 'data', 'failed'], where);
  const record = recordName(page.record, where);
  const numbers = pageNumbers(page, where);
  const needed = neededNumber[record];
  if (needed !== undefined && numbers[needed] === undefined) {
    throw damaged(`${where} (${record}) needs "${needed}"`);
  }
  const failed = failure(page.failed, where);
  const data = bytes(page.data, { where, mayMiss: failed !== undefined });
  if (failed !== undefined && data.length > 0) {
    throw damaged(`${where} (${record}) has both data and "failed"`);
  }
  return { record, ...numbers, data, ...(failed === undefined ? {} : { failed }) };
}

function recordName(value: unknown, where: string): RecordName {
  const known = recordNames.find((name) => name === value);
  if (known !== undefined) return known;
  const nearest = typeof value === 'string' ? nearestName(value, recordNames) : null;
  const hint = nearest === null ? `Known: ${recordNames.join(', ')}` : `Perhaps "${nearest}"`;
  throw damaged(`${where} has an unknown record ${show(value)}`, hint);
}

type PageNumbers = Partial<Record<keyof typeof numberKeys, number>>;

function pageNumbers(page: Thing, where: string): PageNumbers {
  const names = Object.keys(numberKeys) as (keyof typeof numberKeys)[];
  const given = names.filter((name) => page[name] !== undefined);
  return Object.fromEntries(
    given.map((name) => [
      name,
      asNumber(page[name], { name: `${where}: "${name}"`, most: numberKeys[name] }),
    ]),
  );
}

function failure(value: unknown, where: string): RawPage['failed'] {
  if (value === undefined) return undefined;
  const failed = asThing(value, `${where}: "failed"`);
  onlyKeys(failed, ['reason'], `${where}: "failed"`);
  return { reason: asText(failed.reason, `${where}: "reason"`) };
}

const base64Shape = /^(?:[A-Za-z0-9+/]{4})*(?:[A-Za-z0-9+/]{2}==|[A-Za-z0-9+/]{3}=)?$/;

function bytes(value: unknown, options: { where: string; mayMiss: boolean }): Uint8Array {
  if (value === undefined && options.mayMiss) return new Uint8Array();
  const name = `${options.where}: "data"`;
  if (typeof value !== 'string') throw damaged(`${name} must be base64, found ${show(value)}`);
  const most = Math.ceil(pageBytesMax / 3) * 4;
  if (value.length > most) {
    throw damaged(`${name} is ${value.length} characters long, expected at most ${most}`);
  }
  if (!base64Shape.test(value)) throw damaged(`${name} is not base64`);
  return new Uint8Array(Buffer.from(value, 'base64'));
}

function taken(value: unknown): string {
  const text = asText(value, '"taken"');
  const shape = /^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?)?(Z|[+-]\d\d:\d\d)$/;
  if (!shape.test(text) || Number.isNaN(Date.parse(text))) {
    throw damaged(`"taken" must be a time like 2026-01-31T09:00:00Z, found ${show(text)}`);
  }
  return text;
}

function commandSet(value: unknown): CommandSet {
  const known = commandSets.find((name) => name === value);
  if (known !== undefined) return known;
  throw damaged(`"commandSet" must be one of ${commandSets.join(', ')}, found ${show(value)}`);
}

/** The same record twice would leave open which of the two is true. */
function refuseTwice(pages: readonly RawPage[]): void {
  const seen = new Map<string, number>();
  for (const [index, page] of pages.entries()) {
    const key = [page.record, page.log, page.subpage, page.page ?? 0, page.nsid].join(' ');
    const first = seen.get(key);
    if (first !== undefined) {
      throw damaged(`Pages ${first + 1} and ${index + 1} are both ${page.record}, the same one`);
    }
    seen.set(key, index);
  }
}

function show(value: unknown): string {
  const text = JSON.stringify(value) ?? 'nothing';
  return text.length > 60 ? `${text.slice(0, 60)}…` : text;
}
