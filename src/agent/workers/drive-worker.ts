import { endProcess } from '../box/end-process.js';
import { createLinuxBox } from '../box/linux-box.js';
import { systemClock } from '../clock.js';
import { collectPages } from '../probes/collect-pages.js';
import { driveInUse } from '../probes/in-use.js';
import { ipcChannel } from './ipc-channel.js';
import { runSession } from './worker-session.js';

/**
 * Entry of the process that works on one drive. Beside the agent it is the only one that opens
 * drives. It gets no arguments and no environment: all it knows comes over the channel.
 */
const signOfLifeMs = 2000;

const box = createLinuxBox();
const clock = systemClock();
const channel = ipcChannel(process);
let atByte = 0;

const signsOfLife = setInterval(() => channel.send({ alive: true, atByte }), signOfLifeMs);

await runSession(channel, {
  box,
  clock,
  inUse: (drive) => driveInUse(box, drive),
  capture: async ({ address }) => {
    const taken = new Date(clock.wallMs()).toISOString();
    const options = { taken, rare: true, skipIfAsleep: false };
    return (await collectPages(box, address, options)).capture;
  },
  atByte: (byte) => {
    atByte = byte;
  },
});

clearInterval(signsOfLife);
await channel.drained();
// A request that hangs must not keep a finished worker alive.
await endProcess(0);
