import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { LabCase } from '../case.js';
import type { Checks } from '../checks.js';
import type { Machine } from '../machine/machine.js';
import { ProgrammableDisk } from '../programmable-disk.js';
import { createRawFile } from '../raw-file.js';
import { askForBurnIn, showRun, startBurnIn, untilFinished } from './burn-in-runs.js';
import { GuestAgent, until } from './guest-agent.js';
import { larkspur, quillon } from './lab-drives.js';
import { diskPath } from './product-answers.js';

interface Scene {
  readonly checks: Checks;
  readonly machine: Machine;
  /** Under the drive that is burnt in, so that this side sees what was written. */
  readonly disk: ProgrammableDisk;
}

/** Whole burn-ins of the second AHCI disk, and refusals for the first one. */
export const burnIn: LabCase = {
  name: 'burn-in',
  isQuick: false,
  run: async (lab) => {
    const disk = new ProgrammableDisk(join(lab.folder, 'disk.sock'), 32);
    await disk.listen();
    const otherFile = createRawFile(lab.folder, 'other.img', 64);
    try {
      const machine = await lab.boot([
        larkspur({ file: otherFile }),
        quillon({ socket: disk.socketPath }),
      ]);
      const scene = { checks: lab.checks, machine, disk };
      const agent = await GuestAgent.start(machine);
      await refuse(scene, otherFile);
      await wholeRun(scene);
      await killedRun(scene, agent);
      await faultyRun(scene);
    } finally {
      await disk.close();
    }
  },
};

/** A drive in use is refused whatever is typed; one that holds data needs its second consent. */
async function refuse({ checks, machine }: Scene, file: string): Promise<void> {
  const path = await diskPath(machine, 'LARK0001');
  await machine.must([
    '/bin/sh',
    '-c',
    `mke2fs ${path} && mount -t ext4 -o ro ${path} /mnt && sync`,
  ]);
  const before = hashOf(file);
  const mounted = await askForBurnIn(machine, 'LARK0001', ['0001', 'ext unknown-data']);
  checks.equal('refused while mounted', mounted.status, 4);
  checks.holds('and the mount is named', mounted.complaints.includes('/mnt'), mounted.complaints);
  await machine.must(['/bin/umount', '/mnt']);
  const wrongDigits = await askForBurnIn(machine, 'LARK0001', ['9999', 'ext unknown-data']);
  checks.equal('refused with the wrong digits', wrongDigits.status, 4);
  const noConsent = await askForBurnIn(machine, 'LARK0001', ['0001', 'yes']);
  checks.equal('refused without consent to what is on it', noConsent.status, 4);
  checks.equal('and no byte of it changed', hashOf(file), before);
}

function hashOf(file: string): string {
  return createHash('sha256').update(readFileSync(file)).digest('hex');
}

async function wholeRun({ checks, machine, disk }: Scene): Promise<void> {
  const run = await startBurnIn(machine, 'QLLN0002', ['0002']);
  const { verdict } = await untilFinished(machine, run);
  checks.equal('whole burn-in advises', [verdict?.advice, verdict?.reasons], ['keep', []]);
  checks.equal('every sector was written', disk.medium.blankSectors(), 0);
}

/** Sectors of one stretch, the unit in which a run of this size is journalled: 512 KiB. */
const stretchSectors = 1024;

/** The drive is slow here, so that the agent can be killed while its worker writes. */
async function killedRun({ checks, machine, disk }: Scene, agent: GuestAgent): Promise<void> {
  const { medium } = disk;
  medium.plant({ kind: 'slow', range: { from: 0, to: medium.sectors - 1 }, delayMs: 15 });
  const writtenBefore = medium.counts.writtenSectors;
  const written = () => medium.counts.writtenSectors - writtenBefore;
  const run = await startBurnIn(machine, 'QLLN0002', ['0002']);
  const isPartWritten = async () => (written() > 14_000 ? true : null);
  await until('a part of it to be written', isPartWritten, { deadlineMs: 240_000, pollMs: 50 });
  await agent.killHard();
  const isAlone = async () => ((await workers(machine)) === 0 ? true : null);
  await until('its worker to end', isAlone, { deadlineMs: 60_000, pollMs: 1000 });
  const writtenAtCut = written();
  checks.holds(
    'kill -9 comes in the middle of writing',
    writtenAtCut > 14_000 && writtenAtCut < medium.sectors,
    `${writtenAtCut} of ${medium.sectors} sectors were written`,
  );
  const cut = await showRun(machine, run);
  checks.equal('kill -9 leaves a run without verdict', [cut.run, cut.verdict], [run, null]);
  medium.repair();
  await GuestAgent.start(machine);
  const { verdict } = await untilFinished(machine, run);
  checks.equal('resumed burn-in advises', [verdict?.advice, verdict?.reasons], ['keep', []]);
  const again = written() - medium.sectors;
  checks.holds(
    'it went on where it was',
    again >= 0 && again <= 2 * stretchSectors,
    `${again} sectors were written twice, expected at most ${2 * stretchSectors}`,
  );
}

/** Children of the agent that carry a drive, still running inside. */
async function workers(machine: Machine): Promise<number> {
  const count = "ps | grep -c '[d]rive-worker'";
  return Number((await machine.run(['/bin/sh', '-c', count])).printed);
}

/** One byte that reads back wrong and one write that is lost: each is told by its own name. */
async function faultyRun({ checks, machine, disk }: Scene): Promise<void> {
  disk.medium.plant({ kind: 'flip', sector: 5000, byte: 100, mask: 0x10 });
  disk.medium.plant({ kind: 'drop', range: { from: 60_000, to: 60_000 } });
  const run = await startBurnIn(machine, 'QLLN0002', ['0002', 'unknown-data']);
  const { verdict } = await untilFinished(machine, run);
  checks.equal('faulty drive is to be returned', verdict?.advice, 'return');
  const found = verdict?.reasons.map(({ code, measured }) => [code, measured]);
  checks.equal('with both faults by name', found, [
    ['damaged-sectors', 1],
    ['lost-writes', 1],
  ]);
}
