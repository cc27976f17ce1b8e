import { systemClock } from '../agent/clock.js';
import { readModelFile } from '../agent/model-file.js';
import type { Places } from '../agent/places.js';
import { buildStatusReport } from '../agent/status-report.js';
import { openReader } from '../agent/store/read.js';
import type { StoreReader } from '../agent/store/store.js';
import type { BoxModel } from '../checks/model/parse.js';
import type { StatusReport } from '../checks/status-report.js';
import { type ExitCode, exitCodes, UserError } from '../checks/user-error.js';
import { agentStatus } from './ask.js';
import type { CommandLine } from './options.js';
import { placesOf } from './places-of.js';
import { partMeant, renderPart } from './render-part.js';
import { renderStatus } from './render-status.js';

/** Every part once, from the store, with what the agent says of itself. */
export async function status(line: CommandLine): Promise<ExitCode> {
  const places = placesOf(line);
  const agent = await agentStatus(places);
  const store = openIfThere(places);
  try {
    const model = modelOrNull(places.modelFile);
    const report = buildStatusReport(store, agent, {
      nowWallMs: systemClock().wallMs(),
      bayOf: (serial) => model?.drives.find((drive) => drive.serial === serial)?.bay ?? null,
    });
    for (const text of linesOf(report, line)) console.log(text);
    if (report.findings.length > 0) return exitCodes.belowExpected;
    return agent === null ? exitCodes.interrupted : exitCodes.done;
  } finally {
    store?.close();
  }
}

/** The whole box, or one part of it when one is named. */
function linesOf(report: StatusReport, { json, words }: CommandLine): readonly string[] {
  const [wanted] = words;
  if (wanted === undefined) return json ? [JSON.stringify(report)] : renderStatus(report);
  const part = partMeant(report, wanted);
  return json ? [JSON.stringify(part)] : renderPart(part);
}

function openIfThere(places: Places): StoreReader | null {
  try {
    return openReader(places.storeFile);
  } catch (error) {
    if (error instanceof UserError && nothingThere.includes(error.code)) return null;
    throw error;
  }
}

const nothingThere: readonly string[] = ['no-store', 'store-empty'];

/** A faulty model is the agent's complaint to make; here it only costs the names of the bays. */
function modelOrNull(file: string): BoxModel | null {
  try {
    return readModelFile(file);
  } catch (error) {
    if (error instanceof UserError) return null;
    throw error;
  }
}
