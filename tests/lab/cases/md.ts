import type { LabCase } from '../case.js';
import type { Checks } from '../checks.js';
import { arrayTool } from '../machine/array-tool.js';
import type { Machine } from '../machine/machine.js';
import type { MachineDrive } from '../machine/qemu-arguments.js';
import { Skipped } from '../machine/skipped.js';
import { clockTool } from '../machine/system-files.js';
import { createRawFile } from '../raw-file.js';
import { GuestAgent, until } from './guest-agent.js';
import {
  jobsLike,
  type PrintedArray,
  pageText,
  sectorsRead,
  startPage,
  untilArray,
  untilFinding,
  untilNoFinding,
} from './md-status.js';
import { diskPath } from './product-answers.js';

/** Bays as a person wrote them down; makers and serials are invented. */
const bays = { MEMB0001: '1', MEMB0002: '2', MEMB0003: '3', MEMB0004: '4' } as const;
type Serial = keyof typeof bays;
const serials = Object.keys(bays) as Serial[];
const members: readonly Serial[] = ['MEMB0001', 'MEMB0002', 'MEMB0003'];

const modelFile = `[box]
name = "Reading room"
${serials.map((serial) => `[[drive]]\nserial = "${serial}"\ncapacity = "67 MB"\nbay = "${bays[serial]}"\n`).join('')}`;

function disk(serial: Serial, file: string): MachineDrive {
  return {
    kind: 'ahci',
    serial,
    model: 'Larkspur Member',
    firmware: 'LM01',
    worldWideName: `5000c5000000000${bays[serial]}`,
    rotationRpm: 7200,
    backend: { file },
  };
}

interface Stage {
  readonly checks: Checks;
  readonly machine: Machine;
}

/** An md array of emulated disks: whole, checked, degraded, rebuilt with another disk, whole. */
export const md: LabCase = {
  name: 'md',
  isQuick: false,
  run: async (lab) => {
    const disks = serials.map((serial) =>
      disk(serial, createRawFile(lab.folder, `${serial}.img`, 64)),
    );
    const machine = await lab.boot(disks);
    const stage = { checks: lab.checks, machine };
    await makeArray(machine);
    await shell(machine, 'mkdir -p /etc/bayward; cat > /etc/bayward/box.toml', modelFile);
    const agent = await GuestAgent.start(machine);
    const user = await startPage(machine);
    lab.checks.equal('md: the page runs as the user nobody', user, 65_534);
    await seeWhole(stage);
    await seeCheck(stage);
    await seeDegraded(stage);
    await seeOwnLoadStop(stage, agent);
    await seeRebuilding(stage);
    await seeWholeAgain(stage);
  },
};

function shell(machine: Machine, command: string, input = ''): Promise<string> {
  return machine.must(['/bin/sh', '-c', command], { deadlineMs: 120_000, input });
}

async function makeArray(machine: Machine): Promise<void> {
  if ((await machine.run(['/bin/test', '-x', arrayTool])).status !== 0) {
    throw new Skipped('The package mdadm cannot be fetched');
  }
  await shell(machine, 'for m in $(cat /modules/raid456.order); do insmod /modules/$m.ko; done');
  const paths = await Promise.all(members.map((serial) => diskPath(machine, serial)));
  const words = '--metadata=1.2 --level=5 --raid-devices=3 --assume-clean --run';
  await shell(machine, `${arrayTool} --create /dev/md0 ${words} ${paths.join(' ')}`);
}

async function seeWhole({ checks, machine }: Stage): Promise<void> {
  const isIdle = (one: PrintedArray) => one.figure('array-work') === 0;
  const array = await untilArray(machine, 'a whole array', isIdle);
  const figures = array.figures(['array-state', 'array-members-missing', 'array-may-still-fail']);
  checks.equal('md: the whole array', figures, {
    'array-state': 0,
    'array-members-missing': 0,
    'array-may-still-fail': 1,
  });
  checks.equal('md: its members by serial', array.members(), {
    MEMB0001: 0,
    MEMB0002: 0,
    MEMB0003: 0,
  });
  const words = 'RAID 5 of 3 members, any one may fail. Running. Whole, no member missing.';
  checks.holds('md: how it protects', array.sentences.startsWith(words), array.sentences);
  const last = array.text('array-last-check');
  checks.holds('md: no date of a check is made up', last.startsWith('Not known before'), last);
}

/** So slow that looks a minute apart see its start, its course and its end. */
async function seeCheck({ checks, machine }: Stage): Promise<void> {
  await shell(
    machine,
    'cd /sys/block/md0/md; echo 100 > sync_speed_min; echo 700 > sync_speed_max; echo check > sync_action',
  );
  const running = await untilArray(machine, 'a check', (one) => one.figure('array-work') === 4);
  const began = running.figure('array-check-began');
  checks.holds('md: its check is seen to begin', began !== null, running.text('array-check-began'));
  const isOver = (one: PrintedArray) => one.figure('array-work') === 0;
  const done = await untilArray(machine, 'the end of the check', isOver);
  const words = done.text('array-last-check');
  const isWhole = /^whole check seen to end .*, no copies disagreed$/.test(words);
  checks.holds('md: the whole check is remembered', isWhole, words);
}

/** A disk that answers nothing any more, noticed by the kernel when the array is written to. */
async function seeDegraded({ checks, machine }: Stage): Promise<void> {
  const lost = (await diskPath(machine, 'MEMB0002')).slice('/dev/'.length);
  await shell(
    machine,
    `echo offline > /sys/block/${lost}/device/state; dd if=/dev/zero of=/dev/md0 bs=64k count=4 conv=fsync`,
  );
  const finding = await untilFinding(machine, 'array-degraded');
  checks.equal('md: the finding is for today', finding.urgency, 'today');
  checks.holds('md: it has a next step', finding.nextStep.length > 20, finding.nextStep);
  const array = await untilArray(machine, 'the array', () => true);
  const figures = array.figures(['array-members-missing', 'array-may-still-fail']);
  checks.equal('md: the degraded array', figures, {
    'array-members-missing': 1,
    'array-may-still-fail': 0,
  });
  checks.equal('md: who is out, by serial', array.members(), {
    MEMB0001: 0,
    MEMB0002: 2,
    MEMB0003: 0,
  });
  const words =
    'Degraded, one missing (Bay 2 · 0002), no drive to spare now, the next failure loses data.';
  checks.holds('md: and by bay', array.sentences.includes(words), array.sentences);
  const page = await pageText(machine, `/part/${array.id}`);
  const shown = /one missing \(Bay 2[^)]*0002\), no drive to spare now/.exec(page);
  checks.holds('md: the page shows it', shown !== null, shown?.[0] ?? page);
}

/** With a clock 20 minutes ahead everything is due that waits for the box to settle. */
async function seeOwnLoadStop({ checks, machine }: Stage, agent: GuestAgent): Promise<void> {
  const refused = await machine.run(['/bin/bayward', 'speed', 'drive', 'MEMB0004']);
  const said = `${refused.complaints}${refused.printed}`;
  const isRefused = refused.status === 4 && said.includes('degraded');
  checks.holds('md: no speed run while degraded', isRefused, `${refused.status}: ${said}`);
  const paths = [await diskPath(machine, 'MEMB0001'), await diskPath(machine, 'MEMB0003')];
  const before = await Promise.all(paths.map((path) => sectorsRead(machine, path)));
  await agent.killHard();
  await GuestAgent.start(machine, [clockTool, '--time', '--boottime', '1200', '--fork']);
  const health = await until(
    'counters of the members',
    async () => {
      const jobs = await jobsLike(machine, 'drive-health');
      return jobs.MEMB0001 === undefined || jobs.MEMB0003 === undefined ? null : jobs;
    },
    { deadlineMs: 600_000, pollMs: 4000 },
  );
  const gentle = 'Its array needs rest: only temperature and verdict were asked for';
  const asked = { MEMB0001: health.MEMB0001, MEMB0003: health.MEMB0003 };
  checks.equal('md: members are asked gently', asked, { MEMB0001: gentle, MEMB0003: gentle });
  const after = await Promise.all(paths.map((path) => sectorsRead(machine, path)));
  checks.equal('md: nothing of ours reads their surface', after, before);
}

async function seeRebuilding({ checks, machine }: Stage): Promise<void> {
  const added = await diskPath(machine, 'MEMB0004');
  await shell(
    machine,
    `echo 350 > /sys/block/md0/md/sync_speed_max; ${arrayTool} /dev/md0 --add ${added}`,
  );
  const array = await untilArray(
    machine,
    'a rebuilding with its progress',
    (one) => one.figure('array-work') === 2 && one.figure('array-work-left') !== null,
  );
  const { MEMB0004 } = array.members();
  checks.equal('md: the new member is being rebuilt', MEMB0004, 1);
  const words = /Rebuilding a member, [\d.]+ % done, about [^.]+ left\./;
  checks.holds('md: how far it is, in words', words.test(array.sentences), array.sentences);
  const page = await pageText(machine, '/');
  const shown = /ebuilding a member, [\d.]+ % done/.exec(page);
  checks.holds('md: and on the page', shown !== null, shown?.[0] ?? page);
  const rare = await jobsLike(machine, 'drive-rare-logs');
  checks.equal('md: no long log is read meanwhile', rare, {});
  await shell(machine, 'echo 200000 > /sys/block/md0/md/sync_speed_max');
}

async function seeWholeAgain({ checks, machine }: Stage): Promise<void> {
  await untilArray(machine, 'the array', (one) => one.figure('array-members-missing') === 0);
  const remove = `for one in /sys/block/md0/md/dev-*/state; do
    if grep -q faulty $one; then echo remove > $one; fi
  done`;
  await shell(machine, remove);
  const array = await untilArray(machine, 'the lost', (one) => one.members().MEMB0002 === 5);
  checks.equal('md: its members now', array.members(), {
    MEMB0001: 0,
    MEMB0002: 5,
    MEMB0003: 0,
    MEMB0004: 0,
  });
  const isWhole = array.sentences.includes('Whole, no member missing.');
  checks.holds('md: whole again, in words', isWhole, array.sentences);
  await untilNoFinding(machine, 'array-degraded');
  checks.pass('md: the finding is cleared', 'when the array was whole again');
}
