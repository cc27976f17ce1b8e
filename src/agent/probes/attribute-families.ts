import { type HourUnit, hourUnits } from '../../checks/hours-unit.js';
import type { SmartAttribute } from '../box/layouts/ata-smart.js';
import { type Told, told, untold } from './told.js';

/**
 * Attributes whose raw value is more than a count, by the families of drives that keep them so.
 * The standards leave raw values to the makers; each reading here is therefore held against a
 * second witness (the drive's own normalised value, another record, or what a drive can do), and
 * is not told when that does not fit.
 */
export interface AttributeFamily {
  readonly models: RegExp;
  /** Which drives, in plain words. */
  readonly words: string;
}

export const families = {
  packedRates: { models: /^ST\d/, words: 'disks whose model begins with ST and a digit' },
  temperatureWords: {
    models: /^(Hitachi |HGST |HUA|HUS|HUH|HDS|HDT|HTS)/,
    words: 'disks of Hitachi and HGST',
  },
  hoursWithFraction: { models: /^INTEL SSD/i, words: 'solid-state drives of Intel' },
  timedWear: { models: /^INTEL SSDSC2BB/i, words: 'Intel DC S3500' },
  linkDownshifts: { models: /^(Micron|Crucial_|CT\d)/, words: 'solid-state drives of Micron' },
} as const satisfies Record<string, AttributeFamily>;

/** What stands beside an attribute: the model, and the age by a record that is not this one. */
export interface Witness {
  readonly model: string;
  readonly hours: number | null;
  /** The drive is at least this old by the stamp of a self-test. */
  readonly hoursMin?: number;
  /** What its attribute 9 counts, learned by watching it. */
  readonly learnedUnit?: HourUnit;
}

export type FamilyName = keyof typeof families;

function belongs(family: FamilyName, { model }: Pick<Witness, 'model'>): boolean {
  return families[family].models.test(model);
}

const word32 = 2 ** 32;

export interface PackedRate {
  readonly errors: number;
  readonly operations: number;
}

/**
 * Attributes 1 and 7: errors in the top 16 bits, operations below. Witness: the drive's own rounded
 * rate, -10·log10(errors/operations) with no error counted as one, must agree within 1. Common
 * practice, no maker's source.
 */
export function packedRate(attribute: SmartAttribute, witness: Witness): Told<PackedRate> {
  if (!belongs('packedRates', witness)) {
    return untold(`Attribute ${attribute.id} differs from maker to maker: meaning not known`);
  }
  const errors = Math.floor(attribute.raw / word32);
  const operations = attribute.raw % word32;
  const rate = -10 * Math.log10(Math.max(errors, 1) / operations);
  const agrees = attribute.current !== null && Math.abs(rate - attribute.current) <= 1;
  if (agrees) return told({ errors, operations });
  return unclear(attribute, 'which does not agree with the rate that the drive itself shows');
}

/**
 * Attribute 188: one count up to 16 bits; in one family three counts of 16 bits, all of them in the
 * lowest, those over 5 s and over 7.5 s above. Witness: a part cannot be larger than the whole.
 * Common practice, no maker's source.
 */
export function commandsOverdue(attribute: SmartAttribute, witness: Witness): Told<number> {
  const [all = 0, slow = 0, slower = 0] = wordsOf(attribute);
  if (slow === 0 && slower === 0) return told(all);
  if (!belongs('packedRates', witness)) {
    return unclear(attribute, 'which may be three counts of 16 bits in one');
  }
  if (slow <= all && slower <= slow) return told(all);
  return unclear(attribute, 'whose three counts contradict each other');
}

/**
 * Attribute 194 of one family: now, lowest and highest in words of 16 bits. Witness: the highest is
 * no lower than now and the lowest no higher, all within what a disk survives. Common practice, no
 * maker's source.
 */
export function highestTemperature(attribute: SmartAttribute, witness: Witness): Told<number> {
  if (!belongs('temperatureWords', witness)) {
    return untold('The upper words of attribute 194 differ from maker to maker: meaning not known');
  }
  const [now = 0, lowest = 0, highest = 0] = wordsOf(attribute);
  const survives = [now, lowest, highest].every((celsius) => celsius <= 100);
  if (highest > 0 && survives && lowest <= now && now <= highest) return told(highest);
  return unclear(attribute, 'which is not now, lowest and highest');
}

/**
 * Attribute 240: hours that the heads flew, in the low 32 bits, in one family; in others a count of
 * transfer errors. Witness: heads cannot have flown for longer than the drive was on.
 */
export function headFlyingHours(attribute: SmartAttribute, witness: Witness): Told<number> {
  if (!belongs('packedRates', witness)) {
    return untold('Attribute 240 differs from maker to maker: meaning not known');
  }
  const hours = attribute.raw % word32;
  if (witness.hours === null) return unclear(attribute, 'with no other age to compare it with');
  if (hours <= witness.hours + 2 + witness.hours / 100) return told(hours);
  return unclear(attribute, `which is more than ${witness.hours} h of power`);
}

/**
 * Attribute 183 of one family counts how often the link fell to a lower speed; others count bad
 * blocks there (Micron technical note TN-FD-22). Witness: a link that fell 65 535 times is none.
 */
export function linkDownshifts(attribute: SmartAttribute, witness: Witness): Told<number> {
  if (!belongs('linkDownshifts', witness)) {
    return untold('Attribute 183 differs from maker to maker: meaning not known');
  }
  return attribute.raw < 0xffff ? told(attribute.raw) : unclear(attribute, 'which is no count');
}

/**
 * Attribute 226 of one family: 1024ths of a percent of wear since a timer was started; FFFFh before
 * that (Intel DC S3500 specification p. 24). Witness: no window wears out more than all of it.
 */
export function timedWear(attribute: SmartAttribute, witness: Witness): Told<number> {
  if (!belongs('timedWear', witness)) {
    return untold('Attribute 226 differs from maker to maker: meaning not known');
  }
  if (attribute.raw === 0xffff) return untold('The drive’s timer for wear was not started');
  const percent = attribute.raw / 1024;
  return percent <= 100 ? told(percent) : unclear(attribute, 'which is more than 100 %');
}

/** More hours than this and the unit is not hours: 34 years. */
const hoursMax = 300_000;

const unitsInHour = [
  { unit: 'hours', perHour: 1 },
  { unit: 'minutes', perHour: 60 },
  { unit: 'half minutes', perHour: 120 },
  { unit: 'seconds', perHour: 3600 },
] as const;

export interface AttributeHours {
  readonly hours: number;
  readonly unit: HourUnit;
  /** Another record of age agrees with this unit. */
  readonly agreed: boolean;
  /** The unit was learned by watching the counter. */
  readonly learned?: true;
}

/** The bare count of attribute 9, without the fraction of an hour that one family packs above. */
export function hoursCount(attribute: SmartAttribute, witness: Witness): number {
  const packed = attribute.raw >= word32 && belongs('hoursWithFraction', witness);
  return packed ? attribute.raw % word32 : attribute.raw;
}

/**
 * Attribute 9 counts hours on most drives, minutes or less on some. Witness: the age that another
 * record tells decides the unit where it fits one, else what was learned by watching; else a count
 * that can be hours is taken as such, and one that cannot is told only when a self-test's stamp
 * leaves a single unit.
 * One family (Intel SSD 520 manual p. 18) keeps a fraction of an hour above the low 32 bits.
 */
export function attributeHours(attribute: SmartAttribute, witness: Witness): Told<AttributeHours> {
  const count = hoursCount(attribute, witness);
  const agreeing = unitsInHour.find(({ perHour }) => agrees(count / perHour, witness.hours));
  if (agreeing !== undefined) {
    const hours = Math.floor(count / agreeing.perHour);
    return told({ hours, unit: agreeing.unit, agreed: true });
  }
  const learned = learnedHours(count, witness);
  if (learned !== null) return told(learned);
  if (count <= hoursMax) return told({ hours: count, unit: 'hours', agreed: false });
  const possible = possibleUnits(count, witness);
  const [only] = possible;
  if (only !== undefined && possible.length === 1) {
    return told({ hours: Math.floor(count / only.perHour), unit: only.unit, agreed: true });
  }
  return unclear(attribute, `which is more than ${hoursMax}, so its unit is not hours`);
}

function learnedHours(count: number, { learnedUnit }: Witness): AttributeHours | null {
  const known = hourUnits.find(({ unit }) => unit === learnedUnit);
  if (known === undefined) return null;
  const hours = Math.floor((count * known.seconds) / 3600);
  return hours <= hoursMax ? { hours, unit: known.unit, agreed: false, learned: true } : null;
}

/** Young drives fit several units at once, so less than 100 hours decides nothing. */
function agrees(hours: number, other: number | null): boolean {
  return other !== null && other >= 100 && Math.abs(hours - other) <= 2 + other / 100;
}

/** Units in which the count is a possible age and no less than a self-test says. */
function possibleUnits(count: number, { hoursMin }: Witness) {
  if (hoursMin === undefined) return [];
  const least = hoursMin - 2 - hoursMin / 100;
  return unitsInHour.filter(({ perHour }) => {
    const hours = count / perHour;
    return hours <= hoursMax && hours >= least;
  });
}

function wordsOf(attribute: SmartAttribute): readonly number[] {
  return [0, 1, 2].map((place) => Math.floor(attribute.raw / 65_536 ** place) % 65_536);
}

export function unclear<T>(attribute: SmartAttribute, what: string): Told<T> {
  const raw = attribute.raw.toString(16).toUpperCase().padStart(12, '0');
  return untold(`Attribute ${attribute.id} holds ${raw}h, ${what}: meaning not known`);
}
