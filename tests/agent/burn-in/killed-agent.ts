import { systemClock } from '../../../src/agent/clock.js';
import { openStore } from '../../../src/agent/store/write.js';
import { machineEngine } from './loop-engine.js';

/**
 * A small agent for tests: starts a burn-in on a device or goes on with it, and ends itself by
 * SIGKILL right after the journal has as many rows as told. Arguments: store file, device,
 * digits, worker entry, rows (0: live to the end).
 */
const [storeFile = '', device = '', digits = '', workerEntry = '', rows = '0'] =
  process.argv.slice(2);
const clock = systemClock();
const store = openStore(storeFile, clock);
const append = store.appendJournal.bind(store);
let appended = 0;

const engine = machineEngine({
  workerEntry,
  seedOf: device,
  store: {
    beginBoot: store.beginBoot.bind(store),
    partByName: store.partByName.bind(store),
    keepPart: store.keepPart.bind(store),
    burnIns: store.burnIns.bind(store),
    startBurnIn: store.startBurnIn.bind(store),
    updateBurnIn: store.updateBurnIn.bind(store),
    journal: store.journal.bind(store),
    appendJournal: (...row) => {
      const entry = append(...row);
      appended += 1;
      if (appended === Number(rows)) process.kill(process.pid, 'SIGKILL');
      return entry;
    },
  },
});

await engine.resumeInterrupted();
if (store.burnIns().length === 0) {
  await engine.start({ drive: device, erase: true, digits, askedFrom: 'box' });
}
while (engine.running().some(({ state }) => state === 'running')) await clock.sleep(20);
await engine.close();
store.close();
process.exit(0);
