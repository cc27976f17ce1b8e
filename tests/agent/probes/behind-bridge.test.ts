import { expect, test } from 'vitest';
import { behindBridge } from '../../../src/agent/probes/behind-bridge.js';

const told = { model: 'Tolvane Archive 4000', serial: 'TVLAB0002' };

test('a drive behind a bridge is told by its own label', () => {
  expect(behindBridge({ reachedBy: 'usb', serial: '1-0000:00:04.0-1' }, told)).toEqual([
    {
      metric: 'drive-behind-bridge',
      unit: 'code',
      source: 'IDENTIFY DEVICE through the bridge',
      value: 1,
      state: 'measured',
      text: 'Tolvane Archive 4000, serial number TVLAB0002',
    },
  ]);
});

test.each([
  ['a bridge that hands the name on', { reachedBy: 'usb', serial: 'TVLAB0002 ' }, told],
  ['a drive that tells no name', { reachedBy: 'usb', serial: 'D1' }, { ...told, serial: null }],
  ['a filler', { reachedBy: 'usb', serial: 'D1' }, { ...told, serial: '0123456789ABCDEF' }],
  ['a SATA port', { reachedBy: 'ata', serial: 'OTHER001' }, told],
] as const)('%s says nothing more', (_, drive, identity) => {
  expect(behindBridge(drive, identity)).toEqual([]);
});
