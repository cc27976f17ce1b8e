import type { Machine } from '../machine/machine.js';
import { until } from './guest-agent.js';

const logFile = '/tmp/page.log';

/** Starts the page of the packed product inside the machine; waits until it is there. */
export async function startGuestPage(machine: Machine): Promise<void> {
  await machine.start(['/bin/bayward', 'start', '--only', 'web'], logFile);
  const heard = async () => {
    const log = await machine.run(['/bin/grep', '^Page: ', logFile]);
    return log.status === 0 ? true : null;
  };
  await until('the page', heard, { deadlineMs: 240_000, pollMs: 1500 });
}

/** What a person reads on a page: its text without marks. */
export async function guestPageText(machine: Machine, path: string): Promise<string> {
  const script = `console.log(await (await fetch('http://127.0.0.1:7420${path}')).text());`;
  const page = await machine.must(['/usr/bin/node', '--input-type=module'], { input: script });
  return page.replaceAll(/<[^>]*>/g, ' ').replaceAll(/\s+/g, ' ');
}
