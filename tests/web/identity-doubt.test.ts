import { expect, test } from 'vitest';
import { appOver, fakeStore } from './fake-store.js';
import { part } from './rows.js';

const twin = part({
  name: 'LK7-3310A-at-00-17-0-port-1',
  identityKey: 'wwn:5f0a1b0000a12071@0000:00:17.0/port-1',
  label: 'Larkspur LK-40',
  details: { serial: 'LK7-3310A', duplicateIdentity: true },
});
const bridged = part({
  name: 'unnamed-drive-00-14-0-usb-2-1',
  identityKey: 'place:0000:00:14.0/usb-2-1/Generic',
  label: 'Generic',
  details: { serial: '0123456789ABCDEF', duplicateIdentity: false },
});

async function wordsOf(path: string): Promise<string> {
  const app = appOver({ openStore: () => fakeStore({ parts: () => [twin, bridged] }) });
  const page = await (await app.request(path)).text();
  return page.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');
}

test.each(['/', `/part/${twin.name}`])('%s says that a name is told twice', async (path) => {
  const page = await wordsOf(path);
  expect(page).toContain('Name told twice');
  expect(page).toContain('Another drive here tells the same name, serial “LK7-3310A”');
  expect(page).toContain('Compare the labels of both');
});

test.each(['/', `/part/${bridged.name}`])('%s says that a drive has no name', async (path) => {
  const page = await wordsOf(path);
  expect(page).toContain('No name of its own');
  expect(page).toContain('It tells the serial “0123456789ABCDEF”, which stands for none');
  expect(page).toContain('Connect it straight to a disk port');
});

test('such drives are called by their id, not by the end of a serial that tells nothing', async () => {
  const page = await wordsOf('/');
  expect(page).toContain('LK7-3310A-at-00-17-0-port-1');
  expect(page).toContain('unnamed-drive-00-14-0-usb-2-1');
});
