import { describe, expect, it } from 'vitest';
import type { DriveSeen } from '../../src/checks/part.js';
import { pickDrive } from '../../src/checks/pick-drive.js';

const drive = (serial: string) => ({ serial, id: serial }) as DriveSeen;
const drives = [drive('LARK0001'), drive('TOLV0002'), drive('QUIL1002')];

describe('pickDrive', () => {
  it('finds a drive by its whole serial number or by its last four characters', () => {
    expect(pickDrive(drives, 'LARK0001').serial).toBe('LARK0001');
    expect(pickDrive(drives, '1002').serial).toBe('QUIL1002');
  });

  it.each([
    ['002', 'No drive here has the serial number "002"'],
    ['sda', 'No drive here has the serial number "sda"'],
    ['9999', 'No drive here has the serial number "9999"'],
  ])('refuses %s', (word, text) => {
    expect(() => pickDrive(drives, word)).toThrow(text);
  });

  it('refuses what fits two drives, and lists them', () => {
    const twins = [drive('A-7K4D'), drive('B-7K4D')];
    expect(() => pickDrive(twins, '7K4D')).toThrow('"7K4D" fits 2 drives, expected exactly one');
  });

  it('says where to look when there is no drive at all', () => {
    expect(() => pickDrive([], 'LARK0001')).toThrow(
      expect.objectContaining({ hint: 'No drive was found at all; see bayward scan', exitCode: 2 }),
    );
  });
});
