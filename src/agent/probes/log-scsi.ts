import { goneAfterErrors, type Rule, says } from './log-fact.js';

const overdue = says('command-overdue', 'A command was overdue');

/**
 * Lines of one SCSI drive. Source: Linux 6.1 drivers/scsi/scsi_error.c, scsi_lib.c, sd.c,
 * scsi_logging.c and constants.c, mpt3sas/mpt3sas_scsih.c; drivers/usb/storage/uas.c.
 */
export const scsiRules: readonly Rule[] = [
  [/Device offlined - not ready after error recovery/, says('drive-gone', goneAfterErrors)],
  [/rejecting I\/O to (?:offline|dead) device/, says('drive-gone', 'Requests find no drive there')],
  [
    /Synchronize Cache\(\d+\) failed: Result: hostbyte=DID_(?:NO_CONNECT|BAD_TARGET)/,
    says('drive-gone', 'The drive went away before its cache could be emptied'),
  ],
  [/attempting (?:device|target) reset! ?scmd/, says('drive-reset', 'The card reset the drive')],
  [/attempting task abort|timing out command|uas_eh_abort_handler/, overdue],
  [
    /FAILED Result: hostbyte=DID_TIME_OUT .*cmd_age=(\d+)s/,
    ([, age]) => ({
      kind: 'command-overdue',
      text: `A command was given up after ${age} s without an answer`,
    }),
  ],
  [
    /Sense Key : Recovered Error/,
    says('recovered-error', 'The drive did what it was asked only after correcting an error'),
  ],
  [
    /Sense Key : Hardware Error/,
    says('drive-fault', 'The drive told of a fault of its own hardware'),
  ],
  [
    /Add\. Sense: .*(?:Failure prediction threshold exceeded|impending failure)/i,
    says('failure-predicted', 'The drive said on its own that it expects to fail'),
  ],
  [
    /Add\. Sense: Warning - specified temperature exceeded/,
    says('drive-too-warm', 'The drive said on its own that it is too warm'),
  ],
  [
    /Add\. Sense: .*(?:iuCRC error|CRC error detected|parity error)/i,
    says('transfer-damaged', 'A transfer was damaged on the cable'),
  ],
  [
    /^Power-on or device reset occurred/,
    says('power-on', 'The drive was reset, or its power came back'),
  ],
  [/^Direct-Access /, says('found', 'A drive was found')],
  [/^Attached SCSI (?:removable )?disk/, says('link-up', 'The drive is ready')],
];

/** Lines of a SCSI host, which for a USB drive is its bridge. Source: drivers/usb/storage/uas.c. */
export const scsiHostRules: readonly Rule[] = [
  [/^uas_eh_device_reset_handler start/, says('link-reset', 'The kernel reset the USB bridge')],
  [/^uas_eh_device_reset_handler FAILED/, says('link-lost', 'The USB bridge took no reset')],
];

/** Source: Linux 6.1 drivers/usb/core/hub.c. */
export const usbRules: readonly Rule[] = [
  [/^USB disconnect, device number/, says('drive-gone', 'The USB device was taken off')],
  [/^reset .{1,40} USB device number/, says('link-reset', 'The USB link was reset')],
  [
    /^device (?:descriptor read\/\S+|not accepting address \d+), error -\d+/,
    says('link-lost', 'The USB device gave no answer'),
  ],
];

const cardReset = says('controller-reset', 'The card was reset');

/** Lines of an adapter. Source: Linux 6.1 drivers/scsi/mpt3sas/mpt3sas_base.c and _scsih.c. */
export const adapterRules: readonly Rule[] = [
  [/^sending (?:diag|message unit) reset ?!!/, cardReset],
  [/^attempting host reset! ?scmd/, cardReset],
  [
    /^fault_state\(0x([0-9a-f]+)\)!/,
    ([, code]) => ({
      kind: 'controller-reset',
      text: `The card’s firmware stopped, fault ${code}`,
    }),
  ],
];
