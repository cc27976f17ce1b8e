import { setTimeout as wait } from 'node:timers/promises';
import type { LabCase } from '../case.js';
import type { Checks } from '../checks.js';
import type { Machine } from '../machine/machine.js';
import {
  type DeviceProperties,
  type MachineDrive,
  nvmeProperties,
  scsiProperties,
} from '../machine/qemu-arguments.js';
import { createRawFile } from '../raw-file.js';
import { GuestAgent, until } from './guest-agent.js';
import { guestPageText, startGuestPage } from './guest-page.js';
import {
  comingsOf,
  drivesOf,
  type Kept,
  keptInStore,
  type PrintedStatus,
  statusOf,
  upMs,
} from './kept-parts.js';
import { larkspur, quillon } from './lab-drives.js';
import { diskPath } from './product-answers.js';

/** The agent compares each minute what is there with what it last saw. */
const noticedMsMax = 120_000;

const stays = 'QLLN0002';
/** Serials of those that go, by the way in which they hang on the box. */
const goers = { ahci: 'LARK0001', scsi: 'HARB0003', nvme: 'NVME0004' } as const;
const serials = Object.values(goers);
const all = [...serials, stays].sort();

type Scsi = Extract<MachineDrive, { kind: 'scsi' }>;
type Nvme = Extract<MachineDrive, { kind: 'nvme' }>;

interface Stage {
  readonly checks: Checks;
  readonly machine: Machine;
  /** Properties of what the machine's monitor pulls and plugs. */
  readonly plugs: readonly DeviceProperties[];
}

/** Drives that are pulled and put back while the agent runs, on three kinds of buses. */
export const comesAndGoes: LabCase = {
  name: 'comes-and-goes',
  isQuick: false,
  run: async (lab) => {
    const file = (name: string) => ({ file: createRawFile(lab.folder, name, 64) });
    const scsi: Scsi = {
      kind: 'scsi',
      serial: goers.scsi,
      product: 'Harbour 64',
      worldWideName: '5000c500deadbe03',
      backend: file('three.img'),
    };
    const nvme: Nvme = {
      kind: 'nvme',
      serial: goers.nvme,
      criticalWarning: 0,
      backend: file('four.img'),
    };
    const machine = await lab.boot([
      larkspur(file('one.img')),
      quillon(file('two.img')),
      scsi,
      nvme,
    ]);
    const plugs = [
      scsiProperties(scsi, { node: 'drive2', at: 'drive2' }),
      nvmeProperties(nvme, { node: 'drive3', at: 'drive3' }),
    ];
    await GuestAgent.start(machine);
    await startGuestPage(machine);
    await goAndComeBack({ checks: lab.checks, machine, plugs });
  },
};

async function goAndComeBack(stage: Stage): Promise<void> {
  const { checks, machine, plugs } = stage;
  await untilAll(machine, 'read', (status) =>
    drivesOf(status).every(({ figures }) => figures.some(({ metric }) => metric === 'temperature')),
  );
  const before = await statusOf(machine);
  checks.equal('all drives are there', namesOf(before, true), all);
  const kept = await keptInStore(machine);
  const letter = await diskPath(machine, goers.ahci);
  const host = await hostOf(machine, letter);

  // Something still holds the old device, so that its letter stays taken.
  await machine.start(['/bin/sh', '-c', `exec sleep 900 < ${letter}`], '/tmp/holds.log');
  await wait(2000);
  await shell(machine, `echo 1 > /sys/block/${letter.slice('/dev/'.length)}/device/delete`);
  const monitor = await machine.monitor();
  for (const { id = '' } of plugs) await monitor.pull(id);
  await seeGone(stage, { fromMs: await upMs(machine) });

  await shell(machine, `echo '- - -' > /sys/class/scsi_host/${host}/scan`);
  for (const plug of plugs) await monitor.ask('device_add', plug);
  await seeBack(stage, { kept, letter, fromMs: await upMs(machine) });
}

interface Since {
  /** When it was done, by the machine's own clock. */
  readonly fromMs: number;
}

/** The longest time that the agent took to notice, by the machine's own clock. */
function seeNoticed(
  { checks }: Stage,
  kept: Kept,
  { kind, fromMs }: { kind: string; fromMs: number },
) {
  const times = serials.map((serial) => {
    const found = kept.events.findLast((one) => one.part === serial && one.kind === kind);
    return (found?.monoMs ?? Number.POSITIVE_INFINITY) - fromMs;
  });
  const longestMs = Math.round(Math.max(...times));
  checks.holds(`${kind} within two minutes`, longestMs <= noticedMsMax, `${longestMs} ms`);
}

async function seeGone(stage: Stage, { fromMs }: Since): Promise<void> {
  const { checks, machine } = stage;
  const isGone = (status: PrintedStatus) => namesOf(status, false).length === serials.length;
  const status = await untilAll(machine, 'gone', isGone);
  const kept = await keptInStore(machine);
  seeNoticed(stage, kept, { kind: 'part-missing', fromMs });
  checks.equal('those that were pulled are gone', namesOf(status, false), [...serials].sort());
  checks.equal('the other one stays', namesOf(status, true), [stays]);
  for (const part of drivesOf(status).filter(({ present }) => !present)) {
    const { id, gone, sentences, figures } = part;
    checks.holds(
      `${id} tells where it was`,
      (gone?.lastPlace ?? null) !== null,
      `${gone?.lastPlace}`,
    );
    const values = figures.filter(({ value }) => value !== null);
    checks.equal(`no old figure of ${id} counts`, values, []);
    checks.equal(`${id} says so`, sentences.at(-1), 'Nothing is known of it now.');
    checks.equal(`${id} went once`, comingsOf(kept, id), ['part-missing']);
  }
  checks.equal('no finding came of it', findingsOf(status), []);
  for (const serial of serials) {
    const page = await guestPageText(machine, `/part/${serial}`);
    checks.holds(`page of ${serial} says gone`, page.includes('Gone, noticed'), cut(page, 'Gone'));
  }
}

interface Earlier extends Since {
  readonly kept: Kept;
  readonly letter: string;
}

async function seeBack(stage: Stage, earlier: Earlier): Promise<void> {
  const { checks, machine } = stage;
  const isBack = (status: PrintedStatus) => namesOf(status, true).length === all.length;
  const status = await untilAll(machine, 'back', isBack);
  const kept = await keptInStore(machine);
  seeNoticed(stage, kept, { kind: 'part-back', fromMs: earlier.fromMs });
  checks.equal('all drives are there again', namesOf(status, true), all);
  for (const serial of serials) {
    const told = comingsOf(kept, serial);
    checks.equal(`${serial} went and came back, no new one`, told, ['part-missing', 'part-back']);
  }
  checks.equal('nothing is told of the other one', comingsOf(kept, stays), []);
  checks.equal('no finding is left of it', findingsOf(status), []);
  const letter = await diskPath(machine, goers.ahci);
  checks.holds(
    'the kernel calls the AHCI drive otherwise now',
    letter !== earlier.letter,
    `${earlier.letter}, then ${letter}`,
  );
  await seeSameSeries(stage, earlier);
  const page = await guestPageText(machine, `/part/${goers.ahci}`);
  checks.holds('its page tells of the absence', page.includes(backWords), cut(page, backWords));
  checks.equal('and does not say gone', page.includes('Gone, noticed'), false);
}

const backWords = 'It is back after having been away';

/** Fresh figures of two drives that tell their temperature, in the rows that were there before. */
async function seeSameSeries({ checks, machine }: Stage, { kept }: Earlier): Promise<void> {
  for (const serial of [goers.ahci, goers.nvme]) {
    const isFresh = (status: PrintedStatus) =>
      drivesOf(status).some(
        ({ id, figures }) =>
          id === serial &&
          figures.some(({ metric, state }) => metric === 'temperature' && state === 'measured'),
      );
    const status = await untilAll(machine, `temperature of ${serial}`, isFresh);
    const part = drivesOf(status).find(({ id }) => id === serial);
    const figure = part?.figures.find(({ metric }) => metric === 'temperature');
    // qemu 7.2 tells 31 of its AHCI disk and 323 K of its NVMe drive.
    checks.equal(`${serial} is read again`, figure?.value, serial === goers.ahci ? 31 : 50);
  }
  const { parts, seriesTwice } = await keptInStore(machine);
  checks.equal('the same parts in the store', parts, kept.parts);
  checks.equal('no figure has a second series', seriesTwice, 0);
}

function findingsOf({ findings }: PrintedStatus): readonly string[] {
  const about = findings.filter(({ subject }) => all.includes(subject));
  return about.map(({ code, subject }) => `${code} ${subject}`);
}

function namesOf(status: PrintedStatus, present: boolean): readonly string[] {
  const drives = drivesOf(status).filter((drive) => drive.present === present);
  return drives.map(({ id }) => id).sort();
}

function untilAll(
  machine: Machine,
  what: string,
  isSo: (status: PrintedStatus) => boolean,
): Promise<PrintedStatus> {
  const look = async () => {
    const status = await statusOf(machine);
    return isSo(status) ? status : null;
  };
  return until(`drives to be ${what}`, look, { deadlineMs: 400_000, pollMs: 3000 });
}

/** The SCSI host of a disk by the kernel's own path. */
async function hostOf(machine: Machine, path: string): Promise<string> {
  const link = await shell(machine, `readlink -f /sys/block/${path.slice('/dev/'.length)}`);
  const host = /\/(host\d+)\//.exec(link)?.[1];
  if (host === undefined) throw new Error(`No SCSI host is told by "${link}"`);
  return host;
}

function shell(machine: Machine, command: string): Promise<string> {
  return machine.must(['/bin/sh', '-c', command]);
}

function cut(text: string, word: string): string {
  const at = text.indexOf(word);
  return at === -1 ? text.slice(0, 300) : text.slice(at, at + 120);
}
