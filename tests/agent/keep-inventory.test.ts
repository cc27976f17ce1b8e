import { afterEach, beforeEach, expect, test } from 'vitest';
import { keepInventory } from '../../src/agent/keep-inventory.js';
import type { DriveSeen } from '../../src/checks/part.js';
import { makeInventory } from '../checks/model/make-inventory.js';
import { at, newYear, type TemporaryStore, temporaryStore } from './store/temporary-store.js';

let room: TemporaryStore;

beforeEach(() => {
  room = temporaryStore();
});
afterEach(() => room.remove());

/** A disk of an invented maker. */
function drive(serial: string, change: Partial<DriveSeen> = {}): DriveSeen {
  return {
    kind: 'drive',
    id: serial,
    identityKey: `serial:Stillwater 8T/${serial}`,
    model: 'Tolvane Stillwater 8T',
    serial,
    firmware: 'T104',
    worldWideName: null,
    capacityBytes: 8_001_563_222_016,
    logicalBlockBytes: 512,
    physicalBlockBytes: 4096,
    rotating: true,
    reachedBy: 'ata',
    kernelName: 'sda',
    devicePath: '/dev/sda',
    deviceNumber: '8:0',
    diskSequence: '9',
    controller: null,
    port: null,
    notVisibleWhy: null,
    duplicateIdentity: false,
    ...change,
  };
}

function look(boot: number, monoMs: number, drives: readonly DriveSeen[]): void {
  keepInventory(room.store, makeInventory({ drives }), at(boot, monoMs));
}

test('each boot is compared with the boot before, and each change is kept once', () => {
  const first = room.store.beginBoot('boot-1', newYear);
  look(first, 1000, [drive('TVN1'), drive('TVN2')]);
  expect(room.store.events(null, 10)).toEqual([]);

  const second = room.store.beginBoot('boot-2', newYear + 86_400_000);
  const changed = [drive('TVN1', { firmware: 'T106', kernelName: 'sdb' }), drive('TVN3')];
  look(second, 1000, changed);
  look(second, 2000, changed);
  const third = room.store.beginBoot('boot-3', newYear + 2 * 86_400_000);
  look(third, 1000, [...changed, drive('TVN2')]);

  const nameOf = (id: number | null) => room.store.parts().find((part) => part.id === id)?.name;
  const events = room.store
    .events(null, 10)
    .map(({ at: when, kind, partId, text }) => [when.boot, kind, nameOf(partId), text]);
  expect(events.sort()).toEqual([
    [2, 'firmware-changed', 'TVN1', 'Its firmware changed from T104 to T106'],
    [
      2,
      'part-missing',
      'TVN2',
      'It was there at the look before and is not found now, at the first look of a boot',
    ],
    [2, 'part-new', 'TVN3', 'It is new in this box'],
    [3, 'part-back', 'TVN2', 'It is back after having been away, at the first look of a boot'],
  ]);
});

test('a drive taken out while the box runs is told once', () => {
  const boot = room.store.beginBoot('boot-1', newYear);
  look(boot, 1000, [drive('TVN1'), drive('TVN2')]);
  look(boot, 2000, [drive('TVN1')]);
  look(boot, 3000, [drive('TVN1')]);
  expect(room.store.events(null, 10).map(({ kind, at: when }) => [kind, when.monoMs])).toEqual([
    ['part-missing', 2000],
  ]);
});
