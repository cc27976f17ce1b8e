import { setTimeout as wait } from 'node:timers/promises';
import type { Machine } from '../machine/machine.js';

const socketFile = '/run/bayward/agent.sock';
const logFile = '/tmp/agent.log';

/** The agent of the packed product, running inside the machine. */
export class GuestAgent {
  readonly #machine: Machine;
  /** The process that was started; the agent is its only child. */
  readonly #pid: number;

  private constructor(machine: Machine, pid: number) {
    this.#machine = machine;
    this.#pid = pid;
  }

  /**
   * Starts it as a person would, so that the product sizes its own pool of threads; waits. `before`
   * is a program that starts it under other conditions.
   */
  static async start(machine: Machine, before: readonly string[] = []): Promise<GuestAgent> {
    const command = [...before, '/bin/bayward', 'start', '--only', 'agent'];
    const pid = await machine.start(command, logFile);
    const agent = new GuestAgent(machine, pid);
    try {
      await until('the agent to answer', () => agent.#answers(), {
        deadlineMs: 240_000,
        pollMs: 1500,
      });
    } catch (error) {
      throw new Error(`${error instanceof Error ? error.message : error}\n${await agent.log()}`);
    }
    return agent;
  }

  async #answers(): Promise<true | null> {
    const log = await this.#machine.run(['/bin/grep', '^Agent: reading this box', logFile]);
    const socket = await this.#machine.run(['/bin/test', '-S', socketFile]);
    return log.status === 0 && socket.status === 0 ? true : null;
  }

  /** Ends it as a power cut would: it can tidy up nothing. What started it ends by itself. */
  async killHard(): Promise<void> {
    const children = `/proc/${this.#pid}/task/${this.#pid}/children`;
    const [agent] = (await this.#machine.must(['/bin/cat', children])).trim().split(' ');
    await this.#machine.kill(Number(agent), 'SIGKILL');
    await this.#machine.run(['/bin/mv', logFile, `${logFile}.killed`]);
  }

  /** What the agent complained about so far, for a person who looks for a cause. */
  async log(): Promise<string> {
    return (await this.#machine.run(['/bin/cat', logFile])).printed;
  }
}

/** Asks again and again until there is an answer; throws when there never is one. */
export async function until<T>(
  what: string,
  ask: () => Promise<T | null>,
  options: { deadlineMs: number; pollMs: number },
): Promise<T> {
  const started = performance.now();
  for (;;) {
    const answer = await ask();
    if (answer !== null) return answer;
    if (performance.now() - started > options.deadlineMs) {
      throw new Error(`Waited ${options.deadlineMs} ms for ${what}`);
    }
    await wait(options.pollMs);
  }
}
