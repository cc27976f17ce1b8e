import type { Found, LogSubject, Rule } from './log-fact.js';

/** Source: Linux 6.1 block/blk-core.c, blk_errors, blk-mq.c, blk_print_req_error; fs/buffer.c. */
export const blockRules: readonly Rule[] = [
  [
    /^(?:blk_update_request: |print_req_error: )?(?:critical )?(\S+ ?\S*) error, dev (\w+), sector (\d+)(?: op \S+:\((\w+)\))?/,
    (match) => blockFact(match),
  ],
  [
    /^Buffer I\/O error on dev(?:ice)? ([\w-]+), logical block \d+, lost (?:a?sync )?page write/,
    ([, name]) => ({
      kind: 'write-lost',
      subject: diskOf(name),
      text: 'Data that a program had written could not be kept',
    }),
  ],
  [
    /^(?:blk_print_req_error|blk_update_request|nvme_log_error|scsi_io_completion_action|buffer_io_error): (\d+) callbacks suppressed/,
    ([, count]) => ({
      kind: 'log-gap',
      subject: { by: 'box', name: 'box' },
      text: `The kernel held ${count} more lines about errors back, because they came too fast`,
    }),
  ],
];

const dataErrors = ['medium', 'I/O', 'timeout', 'target', 'protection', 'transport'];

/** The sector is the start of the request that failed, which is not always the bad place. */
function blockFact([, what = '', name, sector, operation]: RegExpExecArray): Found | null {
  const number = Number(sector);
  const kindOfError = what.replace('recoverable ', '');
  if (!Number.isSafeInteger(number) || !dataErrors.includes(kindOfError)) return null;
  const isMedium = kindOfError === 'medium';
  const act = operation === 'WRITE' ? 'written' : operation === 'READ' ? 'read' : 'reached';
  const why = isMedium ? 'the medium is bad there' : 'the request failed';
  return {
    kind: isMedium ? 'medium-error' : what === 'timeout' ? 'command-overdue' : 'request-failed',
    subject: { by: 'block-name', name: name ?? '' },
    position: { unit: '512-bytes', number },
    text: `A place could not be ${act}: ${why}`,
  };
}

/** The disk that a partition lies on; an array by its own name. */
export function diskOf(name: string | undefined): LogSubject {
  const device = (name ?? '').replace(/^\/dev\//, '');
  if (/^md/.test(device)) return { by: 'array', name: device.replace(/p\d+$/, '') };
  const whole = /^(nvme\d+n\d+|mmcblk\d+)(?:p\d+)?$|^([a-z]+)\d*$/.exec(device);
  return { by: 'block-name', name: whole?.[1] ?? whole?.[2] ?? device };
}

/** Whether a place on this device is also the place on its disk. */
export function isWholeDisk(name: string): boolean {
  return diskOf(name).name === name;
}
