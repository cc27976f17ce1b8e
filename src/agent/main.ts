import { randomBytes } from 'node:crypto';
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { findUser, pageUserNames } from '../checks/page-user.js';
import { assembleAgent } from './assemble.js';
import { openControl } from './control.js';
import { readModelFile } from './model-file.js';
import { programVersion, readPartClasses } from './part-classes.js';
import type { Places } from './places.js';
import { everyMinute } from './schedule/tick.js';
import { prepareStoreFolder } from './store/folder.js';
import { openStore } from './store/write.js';
import { thisBox } from './this-box.js';
import { forkedWorkers } from './workers/supervise.js';

export interface StartedAgent {
  stop(): Promise<void>;
}

const workerEntry = fileURLToPath(new URL('./workers/drive-worker.js', import.meta.url));

/**
 * Starts the agent on this box. The socket is opened before the store: it keeps a second agent
 * from writing beside this one.
 */
export async function startAgent(places: Places): Promise<StartedAgent> {
  const model = readModelFile(places.modelFile);
  const { box, clock } = thisBox();
  const group = process.geteuid?.() === 0 ? pageGroup() : null;
  let answer: Parameters<typeof openControl>[0]['handle'] = async () => {
    throw new Error('The agent is still starting');
  };
  const control = await openControl({
    socketFile: places.socketFile,
    group,
    handle: (request, peer) => answer(request, peer),
  });
  try {
    prepareStoreFolder(places.storeFile, group);
    const store = openStore(places.storeFile, clock);
    const agent = await assembleAgent({
      box,
      clock,
      store,
      model,
      modelFile: places.modelFile,
      classes: readPartClasses(),
      startWorker: forkedWorkers({ workerEntry, clock }),
      tick: everyMinute(clock),
      version: programVersion(),
      limits: limitsOfThisProcess(places),
      makeSeed: () => randomBytes(16).toString('hex'),
      say: (line) => console.error(line),
    });
    answer = agent.handle;
    await agent.begin();
    console.log(`Agent: reading this box into ${places.storeFile}`);
    return {
      stop: async () => {
        await control.close();
        await agent.stop();
        store.close();
      },
    };
  } catch (error) {
    await control.close();
    throw error;
  }
}

/** A box without a list of users has no user for the page either; the page says so itself. */
function pageGroup(): number | null {
  try {
    return findUser(readFileSync('/etc/passwd', 'utf8'), pageUserNames)?.groupId ?? null;
  } catch {
    return null;
  }
}

function limitsOfThisProcess({ modelFile }: Places): readonly string[] {
  const limits: string[] = [];
  if (process.geteuid?.() !== 0) {
    limits.push(
      'The agent does not run as root, so drives’ own records cannot be read: start it with sudo, or as a service',
    );
  }
  if (!existsSync(modelFile)) {
    limits.push(
      `There is no model of this box at ${modelFile} yet: bayward scan writes a first one`,
    );
  }
  return limits;
}
