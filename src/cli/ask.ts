import { askAgent } from '../agent/control-client.js';
import type { Places } from '../agent/places.js';
import type { AgentRequest, AgentStatus } from '../checks/request.js';
import { exitCodes, UserError } from '../checks/user-error.js';

/** The agent's answer to a request; an error reply is thrown as a UserError. */
export async function ask(places: Places, request: AgentRequest): Promise<unknown> {
  const reply = await askAgent(places.socketFile, request, deadlineMs);
  if ('ok' in reply) return reply.result;
  const { code, text, hint, exitCode } = reply.error;
  throw new UserError(code, text, {
    exitCode: exitCode ?? exitCodeOf(code),
    ...hintOption(code, hint),
  });
}

/** The agent's own account of itself, or null when none listens. */
export async function agentStatus(places: Places): Promise<AgentStatus | null> {
  const reply = await askAgent(places.socketFile, { request: 'status' }, deadlineMs);
  return 'ok' in reply ? (reply.result as AgentStatus) : null;
}

const deadlineMs = 120_000;

function exitCodeOf(code: string) {
  return code === 'no-privilege' ? exitCodes.noPrivilege : exitCodes.badInput;
}

function hintOption(code: string, hint: string | undefined): { hint?: string } {
  if (hint !== undefined) return { hint };
  return code === 'agent-stopped' ? { hint: 'Start it with: bayward start' } : {};
}
