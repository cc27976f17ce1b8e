import type { DriveIdentity } from '../../checks/capture.js';
import type { DriveSeen } from '../../checks/part.js';
import { type Figure, measured, type Reading } from '../../checks/reading.js';
import { isPlaceholderSerial } from './identity-rules.js';

const figure: Figure = {
  metric: 'drive-behind-bridge',
  unit: 'code',
  source: 'IDENTIFY DEVICE through the bridge',
};

/**
 * Which drive answers through a USB bridge, where the kernel knows it by the bridge's own name
 * alone: a person finds it by what its label says. Nothing where both names are one, or where the
 * drive told none. Pure.
 */
export function behindBridge(
  { reachedBy, serial }: Pick<DriveSeen, 'reachedBy' | 'serial'>,
  told: Pick<DriveIdentity, 'model' | 'serial'>,
): readonly Reading[] {
  if (reachedBy !== 'usb' || told.serial === null || isPlaceholderSerial(told.serial)) return [];
  if (told.serial.trim() === serial.trim()) return [];
  const model = told.model === null ? 'a drive' : told.model;
  return [measured(figure, 1, `${model}, serial number ${told.serial.trim()}`)];
}
