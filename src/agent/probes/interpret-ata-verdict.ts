import type { Reading } from '../../checks/reading.js';
import type { SmartAttribute } from '../box/layouts/ata-smart.js';
import type { AtaRecords } from './ata-records.js';
import { type Candidate, chooseFigure } from './choose-figure.js';
import { type Told, told, untold } from './told.js';

const failingWords = 'The drive says that it is failing';
const source = 'SMART status registers';
const ownSource = 'attributes against thresholds, because the drive’s own answer was lost';

/**
 * What the drive says of itself. The registers of SMART RETURN STATUS decide; when the way to the
 * drive lost them, attributes stand in. A status that was never asked for may be replaced only by
 * the bad news: nobody says "not failing" from what was not asked.
 */
export function verdictReading(records: AtaRecords, asked: boolean): Reading {
  const own = ownAnswer(records);
  const standIn = fromAttributes(records);
  const mayStandIn = asked || (standIn.told.told && standIn.told.value === 1);
  return chooseFigure({ metric: 'drive-verdict' }, mayStandIn ? [own, standIn] : [own]);
}

function ownAnswer({ status }: AtaRecords): Candidate {
  if (!status.told) return { source, told: status };
  if (status.value === 'no-answer') {
    return { source, told: untold('The registers hold neither of the two answers there are') };
  }
  const failing = status.value === 'failing';
  const text = failing ? failingWords : 'The drive says that it is not failing';
  return { source, told: told(failing ? 1 : 0), text };
}

function fromAttributes({ smart, thresholds }: AtaRecords): Candidate {
  if (!smart.told) return { source: ownSource, told: smart };
  if (!thresholds.told) return { source: ownSource, told: thresholds };
  const compared = smart.value.attributes
    .filter((attribute) => attribute.preFail)
    .map((attribute) => ({ attribute, below: below(attribute, thresholds.value) }))
    .filter(({ below: answer }) => answer.told);
  if (compared.length === 0) {
    return { source: ownSource, told: untold('No attribute can be compared with a threshold') };
  }
  const failing = compared.find(({ below: answer }) => answer.told && answer.value);
  const text =
    failing === undefined
      ? 'No attribute that warns of failure is at its threshold'
      : `Attribute ${failing.attribute.id} is at or below its threshold`;
  return { source: ownSource, told: told(failing === undefined ? 0 : 1), text };
}

/** Threshold 00h always passes, FFh always fails, FEh is not valid (Hitachi 5K160 p. 142). */
function below(attribute: SmartAttribute, thresholds: ReadonlyMap<number, number>): Told<boolean> {
  const threshold = thresholds.get(attribute.id);
  if (threshold === undefined || threshold === 0xfe || attribute.current === null) {
    return untold('Not comparable');
  }
  return told(threshold === 0xff || (threshold > 0 && attribute.current <= threshold));
}

/** Attributes that stand at their threshold while the drive says that it is not failing. */
export function verdictRemarks(records: AtaRecords): readonly string[] {
  const own = ownAnswer(records).told;
  const standIn = fromAttributes(records);
  if (!own.told || own.value === 1 || !standIn.told.told || standIn.told.value === 0) return [];
  return [`${standIn.text}, yet the drive says that it is not failing`];
}
