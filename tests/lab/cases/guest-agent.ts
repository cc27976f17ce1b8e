import { setTimeout as wait } from 'node:timers/promises';
import type { Machine } from '../machine/machine.js';

const socketFile = '/run/bayward/agent.sock';
const logFile = '/tmp/agent.log';

/** The agent of the packed product, running inside the machine. */
export class GuestAgent {
  readonly #machine: Machine;
  readonly #pid: number;

  private constructor(machine: Machine, pid: number) {
    this.#machine = machine;
    this.#pid = pid;
  }

  /**
   * Starts the agent as the process that carries it, with its pool of threads sized, so that one
   * process id is the whole agent; and waits until it answers.
   */
  static async start(machine: Machine): Promise<GuestAgent> {
    const command = 'exec env UV_THREADPOOL_SIZE=24 /bin/bayward start --only agent';
    const pid = await machine.start(['/bin/sh', '-c', command], logFile);
    const agent = new GuestAgent(machine, pid);
    try {
      await untilTrue('the agent to answer', 90_000, () => agent.#answers());
    } catch (error) {
      throw new Error(`${error instanceof Error ? error.message : error}\n${await agent.log()}`);
    }
    return agent;
  }

  async #answers(): Promise<boolean> {
    const log = await this.#machine.run(['/bin/grep', '^Agent: reading this box', logFile]);
    const socket = await this.#machine.run(['/bin/test', '-S', socketFile]);
    return log.status === 0 && socket.status === 0;
  }

  /** Ends it as a power cut would: it can tidy up nothing. */
  async killHard(): Promise<void> {
    await this.#machine.kill(this.#pid, 'SIGKILL');
    await this.#machine.run(['/bin/mv', logFile, `${logFile}.killed`]);
  }

  async stop(): Promise<void> {
    await this.#machine.kill(this.#pid, 'SIGTERM');
  }

  /** What the agent complained about so far, for a person who looks for a cause. */
  async log(): Promise<string> {
    return (await this.#machine.run(['/bin/cat', logFile])).printed;
  }
}

/** Asks again and again until the answer is true; throws when it never is. */
export async function untilTrue(
  what: string,
  deadlineMs: number,
  isTrue: () => Promise<boolean>,
  pollMs = 1500,
): Promise<void> {
  const started = performance.now();
  while (!(await isTrue())) {
    if (performance.now() - started > deadlineMs) {
      throw new Error(`Waited ${deadlineMs} ms for ${what}`);
    }
    await wait(pollMs);
  }
}
