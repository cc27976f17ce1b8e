import type { DriveIdentity } from '../../checks/capture.js';
import type { Reading } from '../../checks/reading.js';
import { exactNumber } from '../box/layouts/bytes.js';
import { decodeInquiry, decodeSerialPage } from '../box/layouts/scsi-inquiry.js';
import { decodeTaskFile } from '../box/layouts/task-file.js';
import type { AtaRecords } from './ata-records.js';
import { onlyFigure } from './choose-figure.js';
import { capacityOrNull, textOrNull, unknownIdentity } from './interpretation.js';
import type { PageAnswers } from './page-answers.js';
import { notNull } from './told.js';

/** From IDENTIFY DEVICE; without it, from what a bridge or adapter in between says. */
export function ataIdentity(pages: PageAnswers, { identify }: AtaRecords): DriveIdentity {
  if (!identify.told) return bridgeIdentity(pages);
  const found = identify.value;
  return {
    model: textOrNull(found.model),
    serial: textOrNull(found.serial),
    firmware: textOrNull(found.firmware),
    worldWideName: found.worldWideName,
    capacityBytes: capacityOrNull(found.sectors * BigInt(found.logicalBlockBytes)),
    logicalBlockBytes: found.logicalBlockBytes,
    physicalBlockBytes: found.physicalBlockBytes,
    rotationRpm: typeof found.rotation === 'number' ? found.rotation : null,
    ...(found.rotation === 'not-told' ? {} : { rotating: found.rotation !== 'solid-state' }),
  };
}

function bridgeIdentity(pages: PageAnswers): DriveIdentity {
  const inquiry = pages.read({ record: 'inquiry' }, decodeInquiry);
  const serial = pages.read({ record: 'vpd', page: 0x80 }, decodeSerialPage);
  if (!inquiry.told) return unknownIdentity;
  return {
    ...unknownIdentity,
    model: textOrNull(inquiry.value.product),
    serial: serial.told ? textOrNull(serial.value) : null,
    firmware: textOrNull(inquiry.value.revision),
  };
}

export function ataIdentityRemarks(pages: PageAnswers, records: AtaRecords): readonly string[] {
  const { identify } = records;
  if (!identify.told) {
    return pages.answered({ record: 'inquiry' })
      ? ['Model and serial are what the bridge or adapter in between says, not the drive itself']
      : [];
  }
  const { smartSupported, smartEnabled, security, linkSpeedPossible, linkSpeedRunning } =
    identify.value;
  const remarks = [...hiddenArea(pages, records)];
  if (smartSupported && !smartEnabled) remarks.push('SMART is switched off in the drive');
  if (security.locked) remarks.push('The drive is locked by a password and gives no data');
  if (linkSpeedPossible !== null && linkSpeedRunning !== null) {
    if (linkSpeedRunning < linkSpeedPossible) {
      remarks.push(
        `The link runs at ${linkSpeedRunning / 1e9} Gb/s, the drive could do ${linkSpeedPossible / 1e9} Gb/s`,
      );
    }
  }
  return remarks;
}

/** The native maximum is the last address; what lies past the shown capacity is hidden. */
function hiddenSectors(pages: PageAnswers, { identify }: AtaRecords): bigint | null {
  if (!identify.told || !pages.answered({ record: 'native-max' })) return null;
  const registers = pages.read({ record: 'native-max' }, (data) =>
    decodeTaskFile('Native maximum address', data),
  );
  if (!registers.told || registers.value.failed) return null;
  const { sectors } = identify.value;
  // The 28-bit command keeps the address's top four bits in the device register.
  const short = sectors <= 0xfff_ffffn && registers.value.lba < 2 ** 24;
  const top = short ? (registers.value.device % 16) * 2 ** 24 : 0;
  return BigInt(registers.value.lba + top + 1) - sectors;
}

/** Only where the drive was asked; a negative figure would be two records that disagree. */
export function hiddenReadings(pages: PageAnswers, records: AtaRecords): readonly Reading[] {
  const hidden = hiddenSectors(pages, records);
  if (hidden === null || hidden < 0n) return [];
  const count = notNull(exactNumber(hidden), 'The figure is too large to be told exactly');
  return [onlyFigure('hidden-sectors', 'native maximum address', count)];
}

function hiddenArea(pages: PageAnswers, records: AtaRecords): readonly string[] {
  const hidden = hiddenSectors(pages, records);
  if (hidden === null || hidden <= 0n || !records.identify.told) return [];
  const bytes = hidden * BigInt(records.identify.value.logicalBlockBytes);
  return [`The drive hides ${hidden} sectors (${bytes} bytes) behind its shown capacity`];
}
