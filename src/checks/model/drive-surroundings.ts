import type { BoxModel } from './parse.js';

/** Id of the power lead that a drive hangs on by the model, or null where it does not tell. */
export function leadOf(model: BoxModel | null, serial: string): string | null {
  const drive = model?.drives.find((one) => one.serial === serial);
  if (drive?.powerLead !== undefined) return drive.powerLead;
  return model?.powerLeads.find(({ feeds }) => feeds.includes(serial))?.id ?? null;
}

/** True when the model has a drive of this serial. */
export function namesDrive(model: BoxModel | null, serial: string): boolean {
  return model?.drives.some((one) => one.serial === serial) ?? false;
}

/** Id of the backplane that the drive's bay belongs to by the model, or null. */
export function enclosureOf(model: BoxModel | null, serial: string): string | null {
  const bay = model?.drives.find((one) => one.serial === serial)?.bay;
  if (bay === undefined) return null;
  return model?.backplanes.find(({ bays }) => bays.includes(bay))?.id ?? null;
}
