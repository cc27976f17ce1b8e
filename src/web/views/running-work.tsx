import type { FC } from 'hono/jsx';
import type { PartRow } from '../../agent/store/rows.js';
import { type BurnInStage, burnInStages } from '../../checks/burn-in-result.js';
import { wordStage } from '../../checks/burn-in-words.js';
import { capital } from '../../checks/letters.js';
import { roughLength } from '../../checks/moments.js';
import type { RunningWork } from '../../checks/request.js';
import { formatValue } from '../../checks/units.js';
import type { AgentView } from '../agent-view.js';
import { subjectTitle } from '../part-name.js';
import { doneShare } from '../trials.js';
import { burnInStateWords } from '../words.js';

/** What runs now, or that nothing does, or that nobody can tell. */
export const RunningList: FC<{ agent: AgentView; parts: readonly PartRow[] }> = (props) => {
  const { agent, parts } = props;
  if (!agent.answers) return <p>Cannot tell while the agent does not answer.</p>;
  if (agent.status.running.length === 0) return <p>Nothing of Bayward runs now.</p>;
  return (
    <ul class="running">
      {agent.status.running.map((work) => (
        <li>
          <p>
            {work.kind === 'burn-in' ? <a href={`/trial#run-${work.run}`}>Burn-in</a> : 'Speed'} of{' '}
            {subjectTitle(work.drive, parts)}
          </p>
          <Progress work={work} />
        </li>
      ))}
    </ul>
  );
};

/** A bar with its figures in words; the words change in place while the page is open. */
export const Progress: FC<{ work: RunningWork }> = ({ work }) => (
  <div class="progress" data-run={work.run} data-kind={work.kind}>
    <progress
      max={1}
      value={doneShare(work) ?? undefined}
      aria-label={`Progress of ${work.kind} run ${work.run}`}
    ></progress>
    <p class="progress-words">{progressWords(work)}</p>
  </div>
);

/** "Full read, running: 41 %, 0.18 GB/s, about 6 h left, 2 errors found". */
export function progressWords(work: RunningWork): string {
  const share = doneShare(work);
  const words = [
    share === null ? null : `${Math.floor(share * 100)} %`,
    work.bytesPerSecond === null ? null : formatValue(work.bytesPerSecond, 'bytes-per-second'),
    work.secondsLeft === null ? null : `about ${roughLength(work.secondsLeft * 1000)} left`,
    errorWords(work.errors),
  ].filter((one) => one !== null);
  return `${stageTitle(work)}, ${burnInStateWords[work.state]}: ${words.join(', ')}`;
}

function stageTitle(work: RunningWork): string {
  const known = burnInStages.find((stage): stage is BurnInStage => stage === work.stage);
  return known === undefined ? work.stage : capital(wordStage(known));
}

function errorWords(errors: number): string {
  if (errors === 0) return 'no errors found so far';
  return errors === 1 ? '1 error found' : `${errors} errors found`;
}
