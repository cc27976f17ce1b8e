import { readdirSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { answered, type Box, type ModuleMemory, missing } from '../../../src/agent/box/box.js';
import { createLinuxBox } from '../../../src/agent/box/linux-box.js';
import { moduleAbsence } from '../../../src/agent/box/module-calls.js';
import { ModuleRound } from '../../../src/agent/module-round.js';
import { moduleReadings } from '../../../src/agent/probes/module-readings.js';
import { moduleClauses } from '../../../src/checks/module-words.js';
import type { ControllerSeen, Inventory } from '../../../src/checks/part.js';
import type { Reading } from '../../../src/checks/reading.js';
import { copperCable, qsfpModule, sfpDark, sfpModule } from '../box/layouts/module-bytes.js';

/* Figures worked out by hand beside the bytes in tests/agent/box/layouts/module-bytes.ts. */

function readingsOf(layout: number, data: Uint8Array): readonly Reading[] {
  return moduleReadings(answered({ layout, data }));
}

function table(readings: readonly Reading[]): Readonly<Record<string, number | string | null>> {
  return Object.fromEntries(
    readings.map(({ metric, place, value, why }) => [
      place === undefined ? metric : `${metric} (${place})`,
      value ?? why ?? null,
    ]),
  );
}

function kept(readings: readonly Reading[]) {
  return readings.map(({ metric, value, unit, place = '', text = '' }) => {
    return { metric, value, unit, place, text };
  });
}

describe('readings of a module', () => {
  test('SFP', () => {
    const readings = readingsOf(2, sfpModule);
    expect(readings[0]?.text).toBe(
      'SFP LARKSPUR LS-10G-SR A, 10GBASE-SR, 850 nm, connector LC, serial LS10-00417, made 2021-03-04',
    );
    expect(table(readings)).toEqual({
      'network-module': 1,
      'temperature (module)': 42.5,
      'voltage (module)': 3.3,
      'optical-power (light received)': 512,
      'optical-power (light sent)': 560,
      'electric-current (laser)': 7,
      'optical-signal (light received)': 1,
      'temperature-limit (module)': 70,
      'optical-power-limit (light received, lowest)': 5,
      'optical-power-limit (light received, highest)': 1000,
      'optical-power-limit (light sent, lowest)': 158.5,
      'optical-power-limit (light sent, highest)': 1584.8,
    });
  });

  test('QSFP, by lane', () => {
    expect(table(readingsOf(3, qsfpModule))).toMatchObject({
      'optical-power (light received, lane 1)': 512,
      'optical-power (light received, lane 2)': 0,
      'optical-signal (light received, lane 2)': 0,
      'optical-power (light received, lane 4)': 'The module gives no figure there',
      'electric-current (laser, lane 4)': 0,
    });
  });

  test('a copper cable carries no light, and that is no figure', () => {
    expect(table(readingsOf(1, copperCable))).toEqual({
      'network-module': 1,
      'optical-power (light received)': 'A copper cable: it carries no light',
      'temperature (module)': 'The module measures nothing of itself',
    });
  });

  test('a layout that is not known, and memory that is damaged', () => {
    expect(table(readingsOf(9, sfpModule))).toEqual({
      'network-module': 'The module’s memory is laid out as number 9: meaning not known',
    });
    expect(table(readingsOf(2, sfpModule.slice(0, 40)))['network-module']).toContain(
      'expected at least 96 bytes, found 40',
    );
  });
});

describe('in words, for page and status', () => {
  test('what it is, its warmth, its light with its own limits', () => {
    expect(moduleClauses(kept(readingsOf(2, sfpModule)))).toEqual([
      'module in its plug: SFP LARKSPUR LS-10G-SR A, 10GBASE-SR, 850 nm, connector LC, serial LS10-00417, made 2021-03-04',
      'the module is at 42.5 °C, its limit is 70 °C',
      'light received 512 µW (it warns below 5 µW and above 1\u202f000 µW)',
      'light sent 560 µW (it warns below 159 µW and above 1\u202f585 µW)',
    ]);
  });

  test('darkness is said', () => {
    expect(moduleClauses(kept(readingsOf(2, sfpDark)))).toContain('too little light comes in');
    expect(moduleClauses(kept(readingsOf(3, qsfpModule)))).toContain(
      'too little light comes in, lane 2',
    );
  });

  test('nothing where nothing was read', () => {
    expect(moduleClauses(kept(moduleReadings(missing('not-there', 'No module'))))).toEqual([]);
  });
});

describe('asking for it', () => {
  const card: ControllerSeen = {
    kind: 'network-card',
    id: 'network-card-03-00-0',
    identityKey: 'mac:02:5a:10:9e:41:07',
    label: 'Larkspur Net 10',
    pciAddress: '0000:03:00.0',
    vendorDevice: null,
    driver: 'lsnet',
    link: null,
    interfaceName: 'enp3s0',
  };
  const inventory = (controllers: readonly ControllerSeen[]) => ({ controllers }) as Inventory;

  function boxOf(memory: ModuleMemory | 'fixed' | 'empty') {
    const asked: string[] = [];
    const networkModule = async (name: string) => {
      asked.push(name);
      if (memory === 'fixed') return missing<ModuleMemory>('not-supported', 'A fixed plug');
      return memory === 'empty' ? missing<ModuleMemory>('not-there', 'Empty') : answered(memory);
    };
    return { box: { networkModule } as unknown as Box, asked };
  }

  const minuteMs = 60_000;

  test('each card at most every ten minutes', async () => {
    const { box, asked } = boxOf('empty');
    const round = new ModuleRound();
    for (const minute of [0, 1, 9, 10, 19, 20]) {
      await round.read(box, inventory([card]), minute * minuteMs);
    }
    expect(asked).toEqual(['enp3s0', 'enp3s0', 'enp3s0']);
  });

  test('a driver without such a reading once', async () => {
    const { box, asked } = boxOf('fixed');
    const round = new ModuleRound();
    const first = await round.read(box, inventory([card]), 0);
    expect(first[0]?.readings).toMatchObject([{ state: 'no-figure', why: 'A fixed plug' }]);
    await round.read(box, inventory([card]), 60 * minuteMs);
    expect(asked).toEqual(['enp3s0']);
  });

  test('never a virtual card, a disk controller, or a box without such a way', async () => {
    const { box, asked } = boxOf({ layout: 2, data: sfpModule });
    const others: readonly ControllerSeen[] = [
      { ...card, virtual: true },
      { ...card, kind: 'disk-controller' },
    ];
    expect(await new ModuleRound().read(box, inventory(others), 0)).toEqual([]);
    expect(asked).toEqual([]);
    const bare = {} as Box;
    expect(await new ModuleRound().read(bare, inventory([card]), 0)).toEqual([]);
  });
});

describe('on this machine', () => {
  const box = createLinuxBox();

  test('loopback has no module, and says why', async () => {
    const found = await box.networkModule?.('lo');
    expect(found?.ok).toBe(false);
    if (found === undefined || found.ok) return;
    // Without the privilege the kernel does not even look (EPERM).
    expect(['not-supported', 'not-permitted']).toContain(found.absence.kind);
    expect(found.absence.text).toMatch(/\((EOPNOTSUPP|EPERM)\)/);
  });

  test('every interface answers with memory or a reason', async () => {
    for (const name of readdirSync('/sys/class/net')) {
      const found = await box.networkModule?.(name);
      if (found?.ok === false) expect(found.absence.text.length).toBeGreaterThan(10);
      else expect(found?.value.data.length).toBeGreaterThanOrEqual(128);
    }
  });

  test('names that no interface can have are not asked for', async () => {
    for (const name of ['', '../lo', 'a name', 'sixteen-letters-']) {
      expect(await box.networkModule?.(name)).toMatchObject({
        ok: false,
        absence: { kind: 'not-there' },
      });
    }
  });
});

test('what drivers say where nothing can be read', () => {
  // Linux include/uapi/asm-generic/errno: 95 EOPNOTSUPP, 5 EIO, 22 EINVAL, 19 ENODEV, 1 EPERM.
  const kinds = [95, 5, 22, 19, 1].map((errno) => moduleAbsence(errno).kind);
  expect(kinds).toEqual(['not-supported', 'not-there', 'not-there', 'gone', 'not-permitted']);
});
