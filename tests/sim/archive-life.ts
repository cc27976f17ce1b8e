import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { programFolder } from '../../src/agent/part-classes.js';
import { type BoxModel, parseModel } from '../../src/checks/model/parse.js';
import { archiveReadingRoomBox, archiveSerials } from '../box/archive-box.js';
import type { SimSeatOptions } from '../box/sim-box.js';
import { makeSimClock } from '../box/sim-clock.js';
import { AgentRun, type AgentRunOptions } from './run-agent.js';

export const hourMs = 3_600_000;
export const dayMs = 24 * hourMs;

/** 5 January 2026, 09:00 UTC: a Monday. */
export const startWallMs = Date.UTC(2026, 0, 5, 9);

/** The invented model of the archive's box, with more at its end when wanted. */
export function archiveModel(more = ''): BoxModel {
  const file = join(programFolder(), 'tests/box/archive-model.toml');
  const parsed = parseModel(`${readFileSync(file, 'utf8')}\n${more}`, file);
  if ('model' in parsed) return parsed.model;
  throw new Error(parsed.complaints.map(({ text }) => text).join('\n'));
}

export interface Life {
  readonly run: AgentRun;
  /** Ends what still runs and removes the store. */
  end(): Promise<void>;
}

/** The agent on the archive's box, not yet switched on. */
export function archiveLife(
  seed: number,
  options: {
    readonly keepTruth?: boolean;
    readonly more?: readonly SimSeatOptions[];
    readonly moreModel?: string;
  } & Pick<AgentRunOptions, 'between' | 'tickMs'> = {},
): Life {
  const clock = makeSimClock(startWallMs);
  const { keepTruth = false, more = [], moreModel, ...rest } = options;
  const box = archiveReadingRoomBox(seed, { clock, keepTruth, more });
  const folder = mkdtempSync(join(tmpdir(), 'bayward-sim-'));
  const run = new AgentRun({ box, folder, model: archiveModel(moreModel), ...rest });
  return {
    run,
    end: async () => {
      if (run.isOn) await run.endAgent();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

/** The household copies to and from the array, which keeps its members awake. */
export function copying(run: AgentRun, isCopying: boolean): void {
  run.box.settle();
  for (const serial of archiveSerials.disks) {
    const { load } = run.box.seat(serial);
    load.readBytesPerSecond = isCopying ? 9e6 : 0;
    load.writeBytesPerSecond = isCopying ? 3e6 : 0;
  }
  run.box.settle();
}
