import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { parseCaptureFile } from '../../src/agent/box/layouts/capture-file.js';
import { collectPages } from '../../src/agent/probes/collect-pages.js';
import type { Capture, RawPage } from '../../src/checks/capture.js';
import { addressFor, oneDriveBox } from '../box/one-drive-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import { makeSimDrive } from '../box/sim-drive.js';
import { projectFolder } from '../lab/machine/places.js';

const taken = '2026-02-14T09:30:00.000Z';

/** Every capture that was laid down by hand, then what the simulated drives answer. */
export async function seedCaptures(): Promise<readonly Capture[]> {
  return [...workedCaptures(), ...(await simulatedCaptures())];
}

export function captureTexts(): readonly string[] {
  const folder = join(projectFolder(), 'tests/captures');
  const names = readdirSync(folder).filter((name) => name.endsWith('.json'));
  return names.sort().map((name) => readFileSync(join(folder, name), 'utf8'));
}

function workedCaptures(): readonly Capture[] {
  return captureTexts().map(parseCaptureFile);
}

const kinds = [
  ['sata-disk', 'ata'],
  ['sata-ssd', 'ata'],
  ['sas-disk', 'scsi'],
  ['nvme', 'nvme'],
] as const;

function simulatedCaptures(): Promise<readonly Capture[]> {
  return Promise.all(
    kinds.map(async ([kind, reachedBy]) => {
      const drive = makeSimDrive({
        kind,
        model: 'Larkspur LV4000',
        serial: 'LK-20417',
        worldWideName: '5abcde0123456789',
        capacityBytes: 4_000_787_030_016,
        clock: makeSimClock(Date.parse(taken)),
      });
      const { box } = oneDriveBox(drive);
      const asked = { taken, rare: true, skipIfAsleep: false };
      return (await collectPages(box, addressFor(reachedBy), asked)).capture;
    }),
  );
}

export type PagesOf = (where: Partial<Omit<RawPage, 'data'>>) => readonly Uint8Array[];

/** Pages of all captures that fit a description, each once, without the empty ones. */
export function pagesOf(captures: readonly Capture[]): PagesOf {
  const all = captures.flatMap(({ pages }) => pages).filter(({ data }) => data.length > 0);
  return (where) => {
    const keys = Object.entries(where) as [keyof RawPage, unknown][];
    const found = all.filter((page) => keys.every(([key, value]) => page[key] === value));
    const byText = new Map(found.map(({ data }) => [Buffer.from(data).toString('hex'), data]));
    if (byText.size === 0) throw new Error(`No page of ${JSON.stringify(where)} to start from`);
    return [...byText.values()];
  };
}
