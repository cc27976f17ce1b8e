/**
 * Opens the store and appends to a journal without end, saying the number of each entry once the
 * store has acknowledged it. With "hold" it writes one reading and waits to be killed.
 */
import { writeSync } from 'node:fs';
import type { StoreWriter } from '../../../src/agent/store/store.js';
import { openStore } from '../../../src/agent/store/write.js';
import { UserError } from '../../../src/checks/user-error.js';
import { at, driveA, figure, newYear, setClock } from './temporary-store.js';

const [path = '', what = 'journal'] = process.argv.slice(2);
const store = open();
const boot = store.beginBoot('boot-1', newYear);
const part = store.keepPart(driveA, at(boot, 0));

if (what === 'hold') {
  store.keepReadings(part.id, at(boot, 1), [figure('temperature', 33)]);
  writeSync(1, 'ready\n');
  setInterval(() => undefined, 1000);
} else {
  const { run } = store.burnIns()[0] ?? start();
  for (let count = 0; ; count += 1) {
    const entry = store.appendJournal(run, at(boot, count), 'intent', {
      fill: 'x'.repeat(count % 300),
    });
    writeSync(1, `${entry}\n`);
  }
}

function open(): StoreWriter {
  try {
    return openStore(path, setClock());
  } catch (error) {
    if (!(error instanceof UserError)) throw error;
    console.log(JSON.stringify({ refused: error.code, exitCode: error.exitCode }));
    return process.exit(error.exitCode);
  }
}

function start() {
  return store.startBurnIn({
    partId: part.id,
    drive: driveA.name,
    erases: true,
    state: 'running',
    started: at(boot, 0),
    seed: '00112233445566778899aabbccddeeff',
    plan: {},
  });
}
