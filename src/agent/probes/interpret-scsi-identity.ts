import type { DriveIdentity } from '../../checks/capture.js';
import {
  decodeCharacteristicsPage,
  decodeInquiry,
  decodeNamePage,
  decodeReadCapacity,
  decodeSerialPage,
} from '../box/layouts/scsi-inquiry.js';
import { manufactureWeek } from '../box/layouts/scsi-logs.js';
import { capacityOrNull, textOrNull, unknownIdentity } from './interpretation.js';
import type { PageAnswers } from './page-answers.js';
import type { ScsiRecords } from './scsi-records.js';
import { notNull, type Told } from './told.js';

export function scsiIdentity(pages: PageAnswers): DriveIdentity {
  const inquiry = orNull(pages.read({ record: 'inquiry' }, decodeInquiry));
  const capacity = readCapacity(pages);
  const rotation = orNull(pages.read({ record: 'vpd', page: 0xb1 }, decodeCharacteristicsPage));
  const bytes = capacity === null ? 0n : capacity.blocks * BigInt(capacity.blockBytes);
  return {
    ...unknownIdentity,
    model: textOrNull(inquiry?.product ?? ''),
    serial: textOrNull(orNull(pages.read({ record: 'vpd', page: 0x80 }, decodeSerialPage)) ?? ''),
    firmware: textOrNull(inquiry?.revision ?? ''),
    worldWideName: orNull(pages.read({ record: 'vpd', page: 0x83 }, decodeNamePage)),
    capacityBytes: capacityOrNull(bytes),
    logicalBlockBytes: capacity?.blockBytes ?? null,
    physicalBlockBytes: capacity?.physicalBlockBytes ?? null,
    rotationRpm: typeof rotation === 'number' ? rotation : null,
    ...(rotation === null || rotation === 'not-told'
      ? {}
      : { rotating: rotation !== 'solid-state' }),
  };
}

export function scsiIdentityRemarks(pages: PageAnswers, records: ScsiRecords): readonly string[] {
  const remarks: string[] = [];
  const capacity = readCapacity(pages);
  if (capacity !== null && ![512, 4096].includes(capacity.blockBytes)) {
    const { blockBytes } = capacity;
    remarks.push(
      `The drive is formatted with blocks of ${blockBytes} bytes and cannot be used before a reformat, which takes hours and erases everything`,
    );
  }
  if (capacity !== null && capacity.protectionType !== null) {
    remarks.push(`The drive is formatted with protection of type ${capacity.protectionType}`);
  }
  const made = records.log(0x0e, (parameters) => notNull(manufactureWeek(parameters), 'No date'));
  if (made.told) remarks.push(`Made in week ${made.value.week} of ${made.value.year}`);
  if (pages.answered({ record: 'inquiry' }) && bridged(pages)) {
    remarks.push('Model and serial are what the bridge in between says, not the drive itself');
  }
  return remarks;
}

/** A failed IDENTIFY DEVICE in a SCSI capture: a bridge was asked for the ATA drive behind it. */
function bridged(pages: PageAnswers): boolean {
  const identify = pages.read({ record: 'identify-device' }, () => null);
  return !identify.told && identify.state === 'not-visible';
}

function readCapacity(pages: PageAnswers) {
  return orNull(pages.read({ record: 'read-capacity-16' }, decodeReadCapacity));
}

function orNull<T>(from: Told<T>): T | null {
  return from.told ? from.value : null;
}
