import { metricInfo } from '../../checks/metrics.js';
import { measured, type Reading } from '../../checks/reading.js';
import {
  decodeFormFactor,
  decodeProvisioning,
  decodeZones,
  type Zones,
  zonesOfDeviceType,
} from '../box/layouts/scsi-abilities.js';
import { decodeInquiry, decodeReadCapacity } from '../box/layouts/scsi-inquiry.js';
import { manufactureWeek } from '../box/layouts/scsi-logs.js';
import type { PageAnswers } from './page-answers.js';
import type { ScsiRecords } from './scsi-records.js';
import { notNull } from './told.js';

const capacityPage = { record: 'read-capacity-16' } as const;
const characteristics = { record: 'vpd', page: 0xb1 } as const;

/** What a SCSI drive is and can, beside its mode pages; what is not told is left out. */
export function scsiAbilityReadings(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  return [
    ...provisioning(pages),
    ...zones(pages),
    ...formFactor(pages),
    ...manufacture(pages, records),
  ];
}

function provisioning(pages: PageAnswers): readonly Reading[] {
  if (!pages.answered(capacityPage)) return [];
  const capacity = pages.read(capacityPage, decodeReadCapacity);
  const found = pages.read(capacityPage, decodeProvisioning);
  if (!capacity.told || !found.told || found.value === null) return [];
  const { trim, zeroAfterTrim, firstAligned } = found.value;
  const { protectionType } = capacity.value;
  const source = 'READ CAPACITY(16)';
  const zeros = zeroAfterTrim ? ', reads as zeros then' : '';
  const moved = setting({ place: 'first aligned block', source }, firstAligned, `${firstAligned}`);
  return [
    setting({ place: 'trim', source }, trim ? 1 : 0, trim ? `there${zeros}` : 'not there'),
    setting(
      { place: 'protection of blocks', source },
      protectionType ?? 0,
      protectionType === null ? 'off' : `type ${protectionType}`,
    ),
    ...(firstAligned === 0 ? [] : [moved]),
  ];
}

function zonesOf(pages: PageAnswers): Zones | null {
  const inquiry = pages.answered({ record: 'inquiry' })
    ? pages.read({ record: 'inquiry' }, decodeInquiry)
    : null;
  const byType = inquiry?.told ? zonesOfDeviceType(inquiry.value.deviceType) : null;
  if (byType !== null || !pages.answered(characteristics)) return byType;
  const told = pages.read(characteristics, decodeZones);
  return told.told ? told.value : null;
}

function zones(pages: PageAnswers): readonly Reading[] {
  const told = zonesOf(pages);
  return told === null ? [] : [setting({ place: 'zones', source: 'INQUIRY' }, 1, told)];
}

/** What a person should know before using a drive that writes in zones. */
export function zoneRemarks(pages: PageAnswers): readonly string[] {
  const told = zonesOf(pages);
  if (told === null) return [];
  return told === 'managed by the host'
    ? [
        'The drive takes writes only in the order of its zones: no plain array or file system can use it',
      ]
    : [`The drive writes in zones (${told}): long writes can become slow`];
}

function formFactor(pages: PageAnswers): readonly Reading[] {
  if (!pages.answered(characteristics)) return [];
  const size = pages.read(characteristics, decodeFormFactor);
  if (!size.told || size.value === null) return [];
  return [setting({ place: 'form factor', source: 'INQUIRY page B1h' }, 1, size.value)];
}

/** Year and week as one number, such as 201914, so that a rule can read it. */
function manufacture(pages: PageAnswers, records: ScsiRecords): readonly Reading[] {
  if (!pages.answered({ record: 'log-sense', log: 0x0e })) return [];
  const made = records.log(0x0e, (parameters) => notNull(manufactureWeek(parameters), 'No date'));
  if (!made.told) return [];
  const { year, week } = made.value;
  const metric = 'drive-made';
  const { unit } = metricInfo(metric);
  const source = 'LOG SENSE page 0Eh, parameter 1';
  return [measured({ metric, unit, source }, 100 * year + week, `week ${week} of ${year}`)];
}

function setting(
  { place, source }: { readonly place: string; readonly source: string },
  value: number,
  text: string,
): Reading {
  const metric = 'drive-setting';
  return measured({ metric, place, unit: metricInfo(metric).unit, source }, value, text);
}
