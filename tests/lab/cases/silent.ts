import type { LabCase } from '../case.js';
import type { Machine } from '../machine/machine.js';
import type { DriveState } from '../programmable-drive/drive-state.js';
import { DriveTarget } from '../programmable-drive/target.js';
import { GuestAgent, until } from './guest-agent.js';
import { tolvane } from './lab-drives.js';
import { captureAndDecode, readingOf } from './product-answers.js';

/** What `status --json` tells; only what this case looks at. */
interface PrintedStatus {
  readonly agent: { readonly answers: boolean };
  readonly groups: readonly {
    readonly kind: string;
    readonly parts: readonly {
      readonly id: string;
      readonly figures: readonly {
        readonly metric: string;
        readonly value: number | null;
        readonly state: string;
      }[];
    }[];
  }[];
}

/** A healthy drive must be read this soon after the agent answers; an emulated machine is slow. */
const onTimeMs = 60_000;

/** Five drives that never answer beside a healthy one that is still read on time. */
export const silent: LabCase = {
  name: 'silent',
  isQuick: false,
  run: async (lab) => {
    const drives = [1, 2, 3, 4, 5, 6].map((number) => tolvane(number));
    const silentOnes = drives.slice(0, 5);
    const healthy = drives[5] as DriveState;
    const target = new DriveTarget();
    for (const drive of drives) target.add(drive);
    await target.listen();
    try {
      const machine = await lab.boot(
        drives.map((drive) => ({ kind: 'programmable' as const, drive, target })),
      );
      for (const drive of silentOnes.slice(0, 3)) drive.silence = 'everything';
      for (const drive of silentOnes.slice(3)) drive.silence = 'commands';
      healthy.temperatureCelsius = 43;
      await GuestAgent.start(machine);
      const started = performance.now();
      const read = await untilRead(machine, healthy.serial);
      const tookMs = Math.round(performance.now() - started);
      lab.checks.equal('healthy drive is read', read, { state: 'measured', value: 43 });
      lab.checks.holds('and on time', tookMs <= onTimeMs, `${tookMs} ms, expected ${onTimeMs}`);
      for (const drive of silentOnes) {
        const told = await untilRead(machine, drive.serial);
        const name = `silent drive ${drive.serial} has no figure`;
        lab.checks.equal(name, told, { state: 'no-figure', value: null });
      }
      healthy.temperatureCelsius = 44;
      const decoded = await captureAndDecode(machine, healthy.serial);
      const again = readingOf(decoded, 'temperature').value;
      lab.checks.equal('healthy drive is read again beside them', again, 44);
      const { agent, groups } = await statusOf(machine);
      lab.checks.equal('the agent still answers', agent.answers, true);
      const listed = groups.flatMap(({ kind, parts }) => (kind === 'drive' ? parts : []));
      const serials = listed.map(({ id }) => id).sort();
      lab.checks.equal(
        'every drive is listed once',
        serials,
        drives.map(({ serial }) => serial),
      );
    } finally {
      await target.close();
    }
  },
};

async function statusOf(machine: Machine): Promise<PrintedStatus> {
  const end = await machine.run(['/bin/bayward', 'status', '--json']);
  if (end.printed === '') throw new Error(`Status printed nothing: ${end.complaints}`);
  return JSON.parse(end.printed) as PrintedStatus;
}

/** Waits until the agent has said something about the temperature of a drive. */
function untilRead(machine: Machine, serial: string) {
  const temperature = async () => {
    const { groups } = await statusOf(machine);
    const parts = groups.flatMap((group) => (group.kind === 'drive' ? group.parts : []));
    const figures = parts.find(({ id }) => id === serial)?.figures ?? [];
    const found = figures.find(({ metric }) => metric === 'temperature');
    return found === undefined ? null : { state: found.state, value: found.value };
  };
  const options = { deadlineMs: 180_000, pollMs: 1500 };
  return until(`a temperature of ${serial}`, temperature, options);
}
