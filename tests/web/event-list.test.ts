import { expect, test } from 'vitest';
import type { EventRow } from '../../src/agent/store/rows.js';
import { EventList } from '../../src/web/views/event-list.js';

const event: EventRow = {
  id: 1,
  partId: null,
  at: { boot: 2, monoMs: 60_000, wallMs: 1_800_000_000_000 },
  kind: 'medium-error',
  positionBytes: 2_097_152,
  text: 'A place could not be read: the medium is bad there',
  record: 'critical medium error, dev sdb, sector 4096 op 0x0:(READ) flags 0x0 <F>',
};

async function page(events: readonly EventRow[]): Promise<string> {
  return String(await EventList({ events, parts: null }));
}

test('the kernel’s own line is behind each event of its log, with nothing of it taken as markup', async () => {
  const html = await page([event]);
  expect(html).toContain('medium is bad there, at 2.1 MB from its start');
  expect(html).toContain('<summary>Line of the kernel’s log</summary>');
  expect(html).toContain(
    '<code>critical medium error, dev sdb, sector 4096 op 0x0:(READ) flags 0x0 &lt;F&gt;</code>',
  );
});

test('what two looks found, and lines that were lost, have no line', async () => {
  const moved: EventRow = { ...event, kind: 'part-moved', record: 'a -> b' };
  const html = await page([moved, { ...event, kind: 'log-gap', record: '' }]);
  expect(html).not.toContain('<details');
});

test('what a controller wrote is not said to be of the kernel', async () => {
  const html = await page([{ ...event, kind: 'fan-fault', record: '01 00 02' }]);
  expect(html).toContain('<summary>As the controller or the kernel wrote it</summary>');
});
