import type { FC } from 'hono/jsx';
import { formatDuration } from '../../checks/units.js';
import type { AgentView } from '../agent-view.js';

/** Says on top of a page that what follows is not from now. Empty while the agent answers. */
export const AgentNotice: FC<{ agent: AgentView }> = ({ agent }) => (
  <div
    class="notice-place"
    data-live="agent"
    data-agent={agent.answers ? 'answers' : 'stopped'}
    aria-live="polite"
  >
    {agent.answers ? null : (
      <div class="notice">
        <p>
          <strong>Agent stopped.</strong> {agent.text}. Everything below is what was read before;
          what happens now is not known.
        </p>
        {agent.hint === null ? null : <p>{agent.hint}.</p>}
      </div>
    )}
  </div>
);

export const AgentLine: FC<{ agent: AgentView }> = ({ agent }) =>
  agent.answers ? (
    <p>
      The agent answers: version {agent.status.version}, boot {agent.status.boot}, box on for{' '}
      {formatDuration(agent.status.bootMs / 1000)}.
    </p>
  ) : (
    <p>The agent does not answer.</p>
  );
