import { connect } from 'node:net';
import type { AgentReply, AgentRequest } from '../checks/request.js';

const replyBytesMax = 4 * 1024 * 1024;

/**
 * Sends one request to the agent over its local socket and waits for the one reply. Never
 * throws: an agent that is not there, too slow or talking nonsense is an error reply with the
 * codes `agent-stopped`, `agent-silent` and `agent-unclear`.
 */
export function askAgent(
  socketFile: string,
  request: AgentRequest,
  deadlineMs = 5000,
): Promise<AgentReply> {
  return new Promise((resolve) => {
    const socket = connect(socketFile);
    let received = '';
    const finish = (reply: AgentReply) => {
      socket.removeAllListeners();
      socket.on('error', () => undefined);
      socket.destroy();
      resolve(reply);
    };
    socket.setTimeout(deadlineMs, () =>
      finish(problem('agent-silent', `The agent gave no answer within ${deadlineMs / 1000} s`)),
    );
    socket.on('error', (error: NodeJS.ErrnoException) => finish(unreachable(error, socketFile)));
    socket.on('connect', () => socket.write(`${JSON.stringify(request)}\n`));
    socket.on('data', (chunk) => {
      received += chunk.toString('utf8');
      if (received.includes('\n')) finish(decodeReply(received));
      else if (received.length > replyBytesMax) finish(decodeReply(received));
    });
    socket.on('end', () => finish(decodeReply(received)));
  });
}

function decodeReply(text: string): AgentReply {
  try {
    const reply: unknown = JSON.parse(text.split('\n')[0] ?? '');
    if (typeof reply === 'object' && reply !== null && ('ok' in reply || 'error' in reply)) {
      return reply as AgentReply;
    }
  } catch {
    // Falls through to the same answer as any other text that is not a reply.
  }
  return problem('agent-unclear', 'The agent answered with something that is not a reply');
}

function unreachable(error: NodeJS.ErrnoException, socketFile: string): AgentReply {
  if (error.code === 'EACCES') {
    return {
      error: {
        code: 'no-privilege',
        text: `The agent's socket ${socketFile} may not be opened by this user`,
        hint: 'Run the command as root, or as the user that started the agent',
      },
    };
  }
  return problem('agent-stopped', `No agent is listening at ${socketFile}`);
}

function problem(code: string, text: string): AgentReply {
  return { error: { code, text } };
}
