import { type ExitCode, exitCodes } from '../checks/user-error.js';
import { ask } from './ask.js';
import { listRuns, showRun } from './burn-in-runs.js';
import { planOf, startBurnIn, wordPlan } from './burn-in-start.js';
import { badInput, type CommandLine } from './options.js';
import { placesOf } from './places-of.js';

const actions = ['plan', 'start', 'list', 'show', 'pause', 'resume', 'stop'] as const;

/** Plans, starts, lists, shows, pauses, resumes and stops burn-ins; all of them by the agent. */
export async function burnIn(line: CommandLine): Promise<ExitCode> {
  const [action, word] = line.words;
  const known = actions.find((name) => name === action);
  if (known === undefined) {
    throw badInput(`Command burn-in expects one of ${actions.join(', ')}, found "${action ?? ''}"`);
  }
  const places = placesOf(line);
  if (known === 'list') return listRuns(places, line.json);
  if (word === undefined) throw badInput(`Command burn-in ${known} expects ${argumentOf(known)}`);
  if (known === 'start') return startBurnIn(places, { drive: word, line });
  if (known === 'show') return showRun(places, { run: numberOf(word), json: line.json });
  if (known === 'plan') {
    const plan = await planOf(places, { drive: word, erase: line.erase });
    for (const text of line.json ? [JSON.stringify(plan)] : wordPlan(plan)) console.log(text);
    const standing = plan.refusals.some(({ byTyping }) => !byTyping);
    return standing ? exitCodes.refusedForSafety : exitCodes.done;
  }
  await ask(places, { request: known, run: numberOf(word) });
  return exitCodes.done;
}

function argumentOf(action: (typeof actions)[number]): string {
  return action === 'plan' || action === 'start' ? 'a serial number' : 'the number of a run';
}

function numberOf(word: string): number {
  const run = Number(word);
  if (!Number.isSafeInteger(run) || run < 1) {
    throw badInput(`A run is a whole number from 1 on, found "${word}"`, 'bayward burn-in list');
  }
  return run;
}
