import { createInterface } from 'node:readline/promises';
import type { BurnInOffer } from '../agent/burn-in/offer.js';
import type { Places } from '../agent/places.js';
import { formatBytes, formatDuration } from '../checks/units.js';
import { type ExitCode, exitCodes, UserError } from '../checks/user-error.js';
import { ask } from './ask.js';
import type { CommandLine } from './options.js';

interface Asked {
  readonly drive: string;
  readonly erase: boolean;
}

/** What the agent says that a burn-in of this drive would do, and what stands against it. */
export async function planOf(places: Places, asked: Asked): Promise<BurnInOffer> {
  const options = { erase: asked.erase, askedFrom: 'box' };
  const plan = await ask(places, { request: 'burn-in-plan', drive: asked.drive, options });
  return plan as BurnInOffer;
}

export function wordPlan(plan: BurnInOffer): string[] {
  const size = formatBytes(plan.capacityBytes);
  const what = plan.erases
    ? 'read every sector, then WRITE every sector and read it back; everything on it is lost'
    : 'read every sector; nothing is written';
  const standing = plan.refusals.filter(({ byTyping }) => !byTyping);
  return [
    `${plan.model || 'A drive without a model name'}, ${size}${plan.port === null ? '' : `, port ${plan.port}`}: ${what}.`,
    `It takes about ${formatDuration(plan.expectedSeconds)}, through as many shutdowns as it needs.`,
    ...plan.found.map(({ words, atByte }) => `Found on it: ${words} at byte ${atByte}.`),
    ...standing.flatMap(({ text, hint }) => [
      `Refused: ${text}.`,
      ...(hint === undefined ? [] : [`  ${hint}.`]),
    ]),
  ];
}

/** Shows the plan, asks what must be asked, and starts. No option answers the questions. */
export async function startBurnIn(
  places: Places,
  { drive, line }: { drive: string; line: CommandLine },
): Promise<ExitCode> {
  const plan = await planOf(places, { drive, erase: line.erase });
  for (const text of wordPlan(plan)) console.error(text);
  const standing = plan.refusals.filter(({ byTyping }) => !byTyping);
  const [first] = standing;
  if (first !== undefined) {
    const text = 'The burn-in was not started, for the reasons above';
    throw new UserError(first.code, text, { exitCode: exitCodes.refusedForSafety });
  }
  const typed = plan.erases ? await askPerson(plan) : {};
  const started = (await ask(places, {
    request: 'burn-in-start',
    drive,
    options: { erase: line.erase, askedFrom: 'box', ...typed },
  })) as { run: number };
  if (line.json) console.log(JSON.stringify(started));
  else console.log(`Burn-in ${started.run} runs. See: bayward burn-in show ${started.run}`);
  return exitCodes.done;
}

/** The second question names what was found, and only what was found is consented to. */
async function askPerson(plan: BurnInOffer): Promise<Record<string, string>> {
  const dialogue = createInterface({ input: process.stdin, output: process.stderr });
  const lines = dialogue[Symbol.asyncIterator]();
  const question = async (text: string) => {
    process.stderr.write(`${text} `);
    const answer = await lines.next();
    return answer.done === true ? '' : answer.value.trim();
  };
  try {
    const digits = await question(
      `To erase it, type the last four or more characters of ${plan.digitsWanted}:`,
    );
    if (plan.eraseFound === null) return { digits };
    const eraseFound = await question(
      `It is not blank. To erase what was found, type these names: ${plan.eraseFound}\n:`,
    );
    return { digits, eraseFound };
  } finally {
    dialogue.close();
  }
}
