import { join } from 'node:path';
import type { LabCase } from '../case.js';
import type { Checks } from '../checks.js';
import type { Machine } from '../machine/machine.js';
import { ProgrammableDisk } from '../programmable-disk.js';
import { DriveTarget } from '../programmable-drive/target.js';
import { GuestAgent, until } from './guest-agent.js';
import { larkspur, nvmeDrive, tolvane } from './lab-drives.js';
import { fetchPage, placesTold, readAt, statusOf } from './lab-events.js';
import { diskPath } from './product-answers.js';

interface Scene {
  readonly checks: Checks;
  readonly machine: Machine;
}

const webLog = '/tmp/web.log';

/**
 * Places that cannot be read, on three kinds of drives, as the kernel tells of them: what happened
 * before the agent started and while it was dead is told as well, and nothing twice.
 */
export const kernelLog: LabCase = {
  name: 'kernel-log',
  isQuick: false,
  run: async (lab) => {
    const sata = new ProgrammableDisk(join(lab.folder, 'sata.sock'), 64);
    const nvme = new ProgrammableDisk(join(lab.folder, 'nvme.sock'), 64);
    const scsi = tolvane(1);
    const target = new DriveTarget();
    target.add(scsi);
    for (const one of [sata, nvme, target]) await one.listen();
    sata.medium.plant({ kind: 'unreadable', range: { from: 4096, to: 4096 } });
    sata.medium.plant({ kind: 'unreadable', range: { from: 8192, to: 8192 } });
    nvme.medium.plant({ kind: 'unreadable', range: { from: 4096, to: 4096 } });
    scsi.medium.plant({ kind: 'unreadable', range: { from: 3000, to: 3000 } });
    try {
      const machine = await lab.boot([
        larkspur({ socket: sata.socketPath }),
        nvmeDrive({ socket: nvme.socketPath }, 0),
        { kind: 'programmable', drive: scsi, target },
      ]);
      await failBeforeAndBetween({ checks: lab.checks, machine });
    } finally {
      for (const one of [sata, nvme, target]) await one.close();
    }
  },
};

async function failBeforeAndBetween(scene: Scene): Promise<void> {
  const { checks, machine } = scene;
  const path = await diskPath(machine, 'LARK0001');
  const failed = [
    await readAt(machine, path, 4096 * 512),
    await readAt(machine, await diskPath(machine, 'TVLAB0001'), 3000 * 512),
    await readAt(machine, '/dev/nvme0n1', 4096 * 512),
  ];
  checks.equal('three places cannot be read', failed, ['EIO', 'ENODATA', 'ENODATA']);
  const first = await GuestAgent.start(machine);
  const before = [
    'LARK0001 command-failed 2097152',
    'LARK0001 request-failed 2097152',
    'NVME0003 medium-error 2097152',
    'TVLAB0001 medium-error 1536000',
  ];
  checks.equal(
    'places that failed before the agent started',
    placesTold(await statusOf(machine)),
    before,
  );
  await first.killHard();
  await readAt(machine, path, 8192 * 512);
  await GuestAgent.start(machine);
  const after = [...before, 'LARK0001 command-failed 4194304', 'LARK0001 request-failed 4194304'];
  const status = await statusOf(machine);
  checks.equal('and one while it was dead, each told once', placesTold(status), after.sort());
  const record = status.happened.find(
    ({ kind, part }) => kind === 'medium-error' && part === 'TVLAB0001',
  );
  checks.holds(
    'the kernel’s own line stands beside it',
    record?.record.includes('sector 3000 op 0x0:(READ)') === true,
    record?.record ?? 'no line',
  );
  const kinds = new Set(
    status.happened.filter(({ part }) => part === 'LARK0001').map(({ kind }) => kind),
  );
  checks.holds('the command queue was switched off', kinds.has('queue-off'), [...kinds].join(' '));
  checks.holds(
    'no sentence has a name of the kernel',
    status.happened.every(({ sentence }) => !/\b(sd[a-z]|nvme\d|ata\d)/.test(sentence)),
    status.happened.map(({ sentence }) => sentence).join(' '),
  );
  await onThePage(scene);
}

async function onThePage({ checks, machine }: Scene): Promise<void> {
  await machine.start(['/bin/bayward', 'start', '--only', 'web'], webLog);
  const address = await until(
    'the page',
    async () => {
      const { printed } = await machine.run(['/bin/cat', webLog]);
      return /^Page: (\S+)$/m.exec(printed)?.[1] ?? null;
    },
    { deadlineMs: 90_000, pollMs: 1500 },
  );
  const page = await fetchPage(machine, `${address}part/TVLAB0001`);
  const sentence = 'the medium is bad there, at 1.54 MB from its start';
  checks.holds('the page tells the place', page.includes(sentence), sentence);
  const line = 'critical medium error, dev ';
  checks.holds('and holds the kernel’s line', page.includes(line), line);
}
