import type { FC } from 'hono/jsx';
import type { PartRow } from '../../agent/store/rows.js';
import type { BurnInVerdict, VerdictReason } from '../../checks/burn-in-result.js';
import { adviceWords } from '../../checks/state-words.js';
import { capital } from '../letters.js';
import type { PageFacts } from '../page-facts.js';
import { partHref, subjectTitle } from '../part-name.js';
import type { Trial } from '../trials.js';
import { burnInStateWords, errorKindWords, stageWords } from '../words.js';
import { Progress } from './running-work.js';
import { Age } from './time.js';

export interface TrialPageProps {
  readonly facts: PageFacts;
  readonly trials: readonly Trial[];
  readonly parts: readonly PartRow[];
}

export const TrialPage: FC<TrialPageProps> = ({ facts, trials, parts }) => (
  <>
    <div class="title">
      <h1>Parts on trial</h1>
      <p class="lede">
        A burn-in reads every sector of a drive and, when it may erase, writes and verifies every
        sector too. It ends in advice with reasons.
      </p>
    </div>
    <section aria-label="Burn-ins, newest first" data-live="trials">
      {trials.length === 0 ? <p>No burn-in has been run on this box yet.</p> : null}
      {trials.map((trial) => (
        <TrialEntry trial={trial} parts={parts} facts={facts} />
      ))}
    </section>
    <section aria-labelledby="how">
      <h2 id="how">To start one</h2>
      <p>
        A burn-in is started on the box itself, because it asks for digits from the drive’s label:{' '}
        <code>bayward burn-in plan SERIAL</code> says what it would do and refuse,{' '}
        <code>bayward burn-in start SERIAL</code> reads only, and with <code>--erase</code> it also
        writes, which destroys everything on the drive.
      </p>
    </section>
  </>
);

export const TrialEntry: FC<{ trial: Trial; parts: readonly PartRow[]; facts: PageFacts }> = ({
  trial,
  parts,
  facts,
}) => (
  <article class="entry trial" id={`run-${trial.row.run}`}>
    <div class="margin">
      <p>Run {trial.row.run}</p>
      <p class="quiet">
        started <Age wallMs={trial.row.started.wallMs} nowMs={facts.nowMs} />
      </p>
    </div>
    <div class="matter">
      <h2>
        <a href={partHref(trial.row.drive)}>{subjectTitle(trial.row.drive, parts)}</a>
      </h2>
      <p>
        {trial.row.erases ? 'Reads, erases by writing, verifies' : 'Reads only'} ·{' '}
        {standingWords(trial, facts)}
      </p>
      {trial.live === null ? null : <Progress work={trial.live} />}
      <Stages trial={trial} />
      <ErrorsFound trial={trial} />
      {trial.row.verdict === null ? null : <Verdict verdict={trial.row.verdict} />}
      <Controls trial={trial} mayAsk={facts.agent.answers} />
    </div>
  </article>
);

function standingWords({ row, live }: Trial, facts: PageFacts): string {
  const words = burnInStateWords[live?.state ?? row.state];
  if (live !== null || row.state !== 'running') return words;
  return facts.agent.answers
    ? 'waiting for the agent to take it up again'
    : 'was running when the agent was last heard';
}

const Stages: FC<{ trial: Trial }> = ({ trial }) => (
  <ol class="stages">
    {trial.stages.map(({ stage, standing }) => (
      <li class={standing === 'now' ? 'now' : undefined} data-stage={stage}>
        {stageWords[stage]} <span class="quiet">{standing}</span>
      </li>
    ))}
  </ol>
);

const ErrorsFound: FC<{ trial: Trial }> = ({ trial }) => {
  if (trial.errorCount === 0) return null;
  return (
    <>
      <h3>Errors found</h3>
      <ul class="sentences">
        {trial.errors.map(({ kind, count, firstLbas }) => (
          <li>
            <strong>{count}</strong> {errorKindWords[kind]}{' '}
            <span class="quiet">
              at block {firstLbas.join(', ')}
              {count > firstLbas.length ? ' and more' : ''}
            </span>
          </li>
        ))}
      </ul>
    </>
  );
};

export const Verdict: FC<{ verdict: BurnInVerdict }> = ({ verdict }) => (
  <div class="verdict">
    <p class="answer">{capital(adviceWords[verdict.advice])}</p>
    {verdict.reasons.length === 0 ? null : (
      <ul class="sentences">
        {verdict.reasons.map((reason) => (
          <li>
            {reasonWords(reason)} <span class="quiet">{reason.source}</span>
          </li>
        ))}
      </ul>
    )}
    <dl class="proof">
      <ProofList title="Proven" sentences={verdict.proven} none="Nothing" />
      <ProofList title="Not proven" sentences={verdict.notProven} none="Nothing is left open" />
      <ProofList title="Skipped" sentences={verdict.skipped} none="Nothing" />
    </dl>
  </div>
);

function reasonWords(reason: VerdictReason): string {
  const words = capital(reason.code.replaceAll('-', ' '));
  const measured = reason.measured === null ? '' : `: measured ${reason.measured}`;
  const expected = reason.expected === null ? '' : `, expected ${reason.expected}`;
  return `${words}${measured}${expected}.`;
}

const ProofList: FC<{ title: string; sentences: readonly string[]; none: string }> = (props) => (
  <>
    <dt>{props.title}</dt>
    {props.sentences.length === 0 ? <dd class="quiet">{props.none}</dd> : null}
    {props.sentences.map((sentence) => (
      <dd>{sentence}</dd>
    ))}
  </>
);

const Controls: FC<{ trial: Trial; mayAsk: boolean }> = ({ trial: { row, live }, mayAsk }) => {
  const state = live?.state ?? row.state;
  const over = state === 'finished' || state === 'stopped';
  if (over) return null;
  if (!mayAsk) return <p class="quiet">It can be paused or stopped when the agent answers.</p>;
  return (
    <div class="controls">
      {state === 'running' ? <Ask run={row.run} what="pause" words="Pause" /> : null}
      {state === 'paused' || state === 'interrupted' ? (
        <Ask run={row.run} what="resume" words="Resume" />
      ) : null}
      <details>
        <summary>Stop …</summary>
        <p>A stopped run keeps what it found but cannot be taken up again.</p>
        <Ask run={row.run} what="stop" words={`Stop run ${row.run} for good`} />
      </details>
    </div>
  );
};

const Ask: FC<{ run: number; what: 'pause' | 'resume' | 'stop'; words: string }> = (props) => (
  <form method="post" action={`/trial/${props.run}/${props.what}`}>
    <button type="submit">{props.words}</button>
  </form>
);
