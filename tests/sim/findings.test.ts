import { expect, test } from 'vitest';
import type { Finding } from '../../src/checks/finding.js';
import { archiveParts, archiveSerials } from '../box/archive-box.js';
import type { BoxFault, FaultTarget } from '../box/fault.js';
import { boxFaults, faultIdentity } from '../box/faults.js';
import type { SimStart } from '../box/sim-plan.js';
import { archiveLife, copying, dayMs, hourMs } from './archive-life.js';
import { pageOf } from './page-of.js';
import type { AgentRun } from './run-agent.js';

const minuteMs = 60_000;

interface Told {
  readonly title: string;
  readonly nextStep: string;
  /** Growth stays until a person accounts for it; the rest goes when its cause is gone. */
  readonly clears: 'accounted' | 'repaired';
}

const cableStep = 'With the box switched off, reseat the data cable at both ends';
const copyFirst = 'Copy off first what cannot be replaced';

/** Words of each fault's finding as they stand on the page; written out here on purpose. */
const told: Readonly<Record<string, Told>> = {
  'blocked air': {
    title: 'the drive is too warm',
    nextStep: 'Stop long work on this drive',
    clears: 'repaired',
  },
  'worn surface': { title: 'surface damage grew', nextStep: copyFirst, clears: 'accounted' },
  'unreadable places': { title: 'surface damage grew', nextStep: copyFirst, clears: 'accounted' },
  'bad data cable': {
    title: 'transfers were damaged on the data cable',
    nextStep: cableStep,
    clears: 'accounted',
  },
  'loose power lead': {
    title: 'the drive lost power while the box was on',
    nextStep: 'look at the power lead of this drive',
    clears: 'accounted',
  },
  'worn cells': {
    title: 'the endurance that the drive is made for is used up',
    nextStep: 'Plan its replacement and keep a second copy',
    clears: 'accounted',
  },
  'drive that stalls': { title: 'commands were overdue', nextStep: copyFirst, clears: 'accounted' },
  'drive says it fails': {
    title: 'the drive says that it is failing',
    nextStep: copyFirst,
    clears: 'repaired',
  },
  'warning of an NVMe drive': {
    title: 'the drive raises a warning',
    nextStep: copyFirst,
    clears: 'repaired',
  },
  'failed self-test': {
    title: 'the last self-test failed',
    nextStep: copyFirst,
    clears: 'repaired',
  },
  'errors on a shared card': {
    title: 'several drives of one controller have link errors',
    nextStep: 'look at what these drives share',
    clears: 'accounted',
  },
  'slowed disk link': {
    title: 'the disk link runs slower than it could',
    nextStep: cableStep,
    clears: 'repaired',
  },
  'dirty contacts': {
    title: 'fewer lanes are connected than could be',
    nextStep: 'take the card out, clean its contacts',
    clears: 'repaired',
  },
  'slow PCI link': {
    title: 'the card’s link runs slower than it could',
    nextStep: 'Look again while the card works',
    clears: 'repaired',
  },
  'array that stopped': {
    title: 'the array does not run',
    nextStep: 'Change nothing on its drives',
    clears: 'repaired',
  },
  'array without a member': {
    title: 'the array runs without all its members',
    nextStep: copyFirst,
    clears: 'repaired',
  },
  'copies that disagree': {
    title: 'copies within the array disagree',
    nextStep: 'Make no repair yet',
    clears: 'repaired',
  },
  'errors of an array member': {
    title: 'a member of the array had errors',
    nextStep: 'Look at the findings of the drive that is named',
    clears: 'accounted',
  },
  'weak memory module': {
    title: 'memory errors were counted',
    nextStep: 'The module is in slot DIMM_A2.',
    clears: 'accounted',
  },
  'errors on a PCI link': {
    title: 'errors on its PCI link',
    nextStep: 'The card is in slot-long, at PCI address 0000:03:00.0.',
    clears: 'accounted',
  },
  'bad cable of a phy': {
    title: 'a port of the card keeps counting damaged words',
    nextStep: 'reseat the cable of the phy that is named',
    clears: 'accounted',
  },
  'drive that comes too late': {
    title: 'the drive is missing after the power was switched on',
    nextStep: 'seat its power plug anew or give it another lead',
    clears: 'accounted',
  },
  'drive that hangs at a restart': {
    title: 'the drive is missing after a restart without power-off',
    nextStep: 'Switch the box fully off for a minute',
    clears: 'accounted',
  },
  'drive that stays away': {
    title: 'the drive is not found in the box',
    nextStep: 'When you took it out yourself, account for this finding',
    clears: 'repaired',
  },
  'blocked air of two drives': {
    title: 'several drives are too warm at the same time',
    nextStep: 'Stop long work now and let the drives cool',
    clears: 'repaired',
  },
  'fan that stands still': {
    title: 'a fan stands still or turns too slowly',
    nextStep: 'Stop long work on the drives that it cools',
    clears: 'repaired',
  },
  'bad place in the log': {
    title: 'a place of the drive could not be read',
    nextStep: copyFirst,
    clears: 'accounted',
  },
  'link that is reset again and again': {
    title: 'the way to the drive is in trouble again and again',
    nextStep: 'reseat the data cable and the power plug at both ends',
    clears: 'accounted',
  },
  'kernel without patience': {
    title: 'the disk may try longer than the kernel waits',
    nextStep: 'Have the kernel wait 180 s for each such disk',
    clears: 'repaired',
  },
  'kernel without patience for two': {
    title: 'disks of the array may try longer than the kernel waits',
    nextStep: 'Have the kernel wait 180 s for each such disk',
    clears: 'repaired',
  },
  'supply that failed': {
    title: 'the board’s controller logged a fault',
    nextStep: 'Look at the lamp and the mains plug of the supply',
    clears: 'accounted',
  },
  'drive that the kernel gave up': {
    title: 'the kernel gave the drive up',
    nextStep: copyFirst,
    clears: 'repaired',
  },
  'commands without an answer': {
    title: 'the kernel gave up waiting for the drive',
    nextStep: 'look at the power lead and the data cable of this drive',
    clears: 'accounted',
  },
  'hot module': {
    title: 'the module in the network plug is too warm',
    nextStep: 'Let air reach the network card',
    clears: 'repaired',
  },
  'dirty fibre': {
    title: 'too little light comes in at the network plug',
    nextStep: 'Never look into a fibre or a module',
    clears: 'repaired',
  },
  'loose lead of two drives': {
    title: 'several drives dropped out together',
    nextStep: 'Power lead lead-right feeds Bay 3 · 2HV4, Bay 4 · 2J07, its plugs are moulded.',
    clears: 'accounted',
  },
  'slow drive': {
    title: 'the drive reads slower than it should',
    nextStep: 'Look at the other findings of this drive',
    clears: 'repaired',
  },
};

/** Two disks of the second-hand card, so that a fault may be of what they share. */
const [, , third, fourth] = archiveSerials.disks;

function targetOf(fault: BoxFault): FaultTarget {
  const { system, trial } = archiveSerials;
  const serial = fault.drive === 'nvme' ? system : fault.drive === 'trial' ? trial : third;
  return { serial, otherSerial: fourth, card: archiveParts.networkCard };
}

test('every fault of the written list has its words here', () => {
  expect(Object.keys(told).sort()).toEqual(boxFaults.map(({ name }) => name).sort());
});

test.each(boxFaults)(
  '$name is one finding on the page, and clears',
  async (fault) => {
    const { run, end } = archiveLife(7);
    const target = targetOf(fault);
    const passing = fault.passing ?? [];
    try {
      fault.prepare?.(run.box);
      await run.switchOn();
      await settleIn(run, fault);
      expect(run.store.findings('all')).toEqual([]);
      for (let time = 0; time < (fault.times ?? 1); time += 1) {
        if (time > 0) await run.pass(5 * minuteMs);
        fault.plant(run.box, target);
        run.box.settle();
      }
      if (fault.restarts === true) await startAgain(run);
      for (const start of fault.starts ?? []) await startAs(run, start);
      const finding = await waitForFinding(run, fault);
      expect(finding.code).toBe(fault.finding);
      expect(finding.subject).toBe(nameOf(run, fault, target));
      await expectOnPage(run, told[fault.name]!);
      await clear(run, { fault, target, finding });
      await run.pass(4 * hourMs);
      const lasting = run.store.findings('all').filter(({ code }) => !passing.includes(code));
      expect(lasting.map(({ state }) => state)).toEqual(['cleared']);
      expect(run.store.findings('open')).toEqual([]);
      expect(await pageOf(run, '/')).not.toContain(told[fault.name]!.nextStep);
      expect(run.problems.filter((line) => !line.includes('The drive sleeps'))).toEqual([]);
    } finally {
      await end();
    }
  },
  120_000,
);

/** A round of health readings, and for speeds a first run of each drive, before anything. */
async function settleIn(run: AgentRun, fault: BoxFault): Promise<void> {
  if (fault.seenBy === 'speed') {
    await run.pass(hourMs / 4);
    await measureSpeed(run);
    return;
  }
  copying(run, fault.idle !== true);
  await run.pass(1.2 * hourMs);
}

/** A PCI link that was seen fast once in a boot is not held against the card until the next. */
async function startAgain(run: AgentRun): Promise<void> {
  copying(run, false);
  await run.shutDown(hourMs);
  await run.switchOn();
  copying(run, true);
}

/** Long enough in each boot for the drives' counters to be read, 10 minutes after its start. */
async function startAs(run: AgentRun, start: SimStart): Promise<void> {
  copying(run, false);
  if (start === 'restart') await run.restart();
  else await run.shutDown(hourMs);
  await run.switchOn();
  copying(run, true);
  await run.pass(15 * minuteMs);
}

async function measureSpeed(run: AgentRun): Promise<void> {
  await run.passUntil(() => run.agent.speeds.running().length === 0, hourMs);
  await run.ask({ request: 'speed-start', drive: third, options: { wake: true } });
  await run.passUntil(() => run.agent.speeds.running().length === 0, hourMs);
  await run.pass(6 * minuteMs);
}

/** How long the rule may take: so many readings at the pace of what sees the fault. */
async function waitForFinding(run: AgentRun, fault: BoxFault): Promise<Finding> {
  const isOpen = () => run.store.findings('open').length > 0;
  if (fault.seenBy === 'speed') {
    for (let round = 0; round < fault.roundsMax && !isOpen(); round += 1) await measureSpeed(run);
  } else {
    // Health is read each 4 hours, and again in an hour when a figure moved that should not.
    const [firstMs, roundMs] = fault.seenBy === 'health' ? [4 * hourMs, hourMs] : [0, 5 * minuteMs];
    await run.passUntil(isOpen, firstMs + fault.roundsMax * roundMs + 6 * minuteMs);
  }
  const [finding, ...more] = run.store.findings('open');
  expect(more).toEqual([]);
  if (finding === undefined) throw new Error(`${fault.name} was not found in time`);
  return finding;
}

function nameOf(run: AgentRun, fault: BoxFault, target: FaultTarget): string | undefined {
  const key = faultIdentity(run.box, fault, target);
  if (fault.about === 'power-lead') return key;
  return run.store.parts().find(({ identityKey }) => identityKey === key)?.name;
}

async function expectOnPage(run: AgentRun, { title, nextStep }: Told): Promise<void> {
  for (const path of ['/', '/findings']) {
    const page = await pageOf(run, path);
    expect(page).toContain(`${title.charAt(0).toUpperCase()}${title.slice(1)}`);
    expect(page).toContain(nextStep);
  }
}

interface Opened {
  readonly fault: BoxFault;
  readonly target: FaultTarget;
  readonly finding: Finding;
}

async function clear(run: AgentRun, { fault, target, finding }: Opened): Promise<void> {
  fault.repair(run.box, target);
  run.box.settle();
  if (told[fault.name]?.clears === 'accounted') {
    await run.pass(hourMs);
    expect(run.store.findings('open')).toHaveLength(1);
    await run.ask({ request: 'account-for', finding: finding.id });
    await run.pass(10 * minuteMs);
    return;
  }
  if (fault.seenBy === 'speed') {
    await measureSpeed(run);
    expect(run.store.findings('open')).toHaveLength(1);
    await measureSpeed(run);
    return;
  }
  await run.passUntil(() => run.store.findings('open').length === 0, 10 * hourMs);
}

/**
 * Lives through days without any event but copying, shutdowns and a few power cuts. The schedule
 * looks every half hour: what is due each 5 minutes runs a sixth as often, all else as
 * always; the disks' timers are longer, so that it still meets them awake. The box is still on at
 * the end.
 */
async function liveQuietly(run: AgentRun, days: number, onDay?: (day: number) => void) {
  for (const serial of archiveSerials.disks) {
    run.box.seat(serial).drive.state.standbyAfterMs = 2 * hourMs;
  }
  for (let day = 0; day < days; day += 1) {
    await run.switchOn();
    copying(run, day % 3 === 0);
    await run.pass(1.5 * hourMs);
    onDay?.(day);
    copying(run, false);
    await run.pass((2.5 + (day % 4) * 0.5) * hourMs);
    if (day === days - 1) return;
    if (day % 17 === 16) run.cutPower(19 * hourMs);
    else await run.shutDown(19 * hourMs);
  }
}

test.each([11, 23, 47])(
  'a quiet 90 days bring no finding (seed %i)',
  async (seed) => {
    const { run, end } = archiveLife(seed, { tickMs: 30 * minuteMs });
    try {
      await liveQuietly(run, 90);
      expect(run.store.findings('all')).toEqual([]);
      expect(run.agent.sampler.remarks).toEqual([]);
      for (const part of run.store.parts().filter(({ kind }) => kind === 'drive')) {
        const runs = new Set(run.store.speeds(part.id).map((speed) => speed.run));
        expect(runs.size).toBeGreaterThanOrEqual(3);
      }
      expect(await pageOf(run, '/findings')).not.toContain('Next step');
    } finally {
      await end();
    }
  },
  300_000,
);

test('the same quiet days with a planted fault are not quiet', async () => {
  const { run, end } = archiveLife(11, { tickMs: 30 * minuteMs });
  try {
    await liveQuietly(run, 4, (day) => {
      if (day !== 2) return;
      run.box.seat(third).drive.state.failing = true;
      run.box.settle();
    });
    expect(run.store.findings('open').map(({ code }) => code)).toEqual(['drive-says-failing']);
    expect(await pageOf(run, '/findings')).toContain('Next step');
  } finally {
    await end();
  }
}, 60_000);

test('growth that stopped closes by itself after 30 days and 200 powered hours', async () => {
  const { run, end } = archiveLife(3, { tickMs: 30 * minuteMs });
  const opened: number[] = [];
  try {
    for (let day = 0; day < 45; day += 1) {
      await run.switchOn();
      copying(run, true);
      if (day === 1) run.box.seat(third).drive.state.interfaceCrcErrors += 57;
      run.box.settle();
      await run.pass(7 * hourMs);
      opened.push(run.store.findings('open').length);
      if (day === 44) expect(run.store.findings('all')).toHaveLength(1);
      await run.shutDown(17 * hourMs);
    }
  } finally {
    await end();
  }
  // Grown on day 1, so that 30 days have passed on day 31; 7 hours a day make 200 before.
  expect(opened.slice(0, 3)).toEqual([0, 1, 1]);
  expect(opened.slice(29, 34)).toEqual([1, 1, 0, 0, 0]);
  expect(opened.at(-1)).toBe(0);
}, 300_000);

test('a drive that is missing at a boot and one on another port are remarked', async () => {
  const { run, end } = archiveLife(9);
  try {
    await run.switchOn();
    await run.pass(20 * minuteMs);
    expect(run.agent.sampler.remarks).toEqual([]);
    await run.shutDown(dayMs);
    run.box.unplug(fourth);
    run.box.unplug(archiveSerials.trial);
    run.box.plug(archiveSerials.trial, { pci: archiveParts.boardSata, port: 5 });
    await run.switchOn();
    await run.pass(20 * minuteMs);
    expect(run.agent.sampler.remarks).toEqual([
      'Drive TS80052J07 (8 TB, bay 4) is in the model but was not found in the box',
      'Drive QP2S88120 is on port board-sata.port-5, the model has it on port board-sata.port-4',
    ]);
    const page = await pageOf(run, '/');
    for (const remark of run.agent.sampler.remarks) expect(page).toContain(remark);
    const [finding, ...more] = run.store.findings('all');
    expect(more).toEqual([]);
    expect(finding).toMatchObject({
      code: 'array-degraded',
      subject: 'array-recordings',
      measured: 1,
    });
    expect(page).toContain('missing: 1; Bay 4 · 2J07: missing; any one more may fail.');
  } finally {
    await end();
  }
}, 60_000);
