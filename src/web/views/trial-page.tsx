import type { FC } from 'hono/jsx';
import type { PartRow } from '../../agent/store/rows.js';
import type { BurnInVerdict } from '../../checks/burn-in-result.js';
import { wordErrorKind, wordReason, wordStage } from '../../checks/burn-in-words.js';
import { capital } from '../../checks/letters.js';
import { adviceWords } from '../../checks/state-words.js';
import { formatNumber } from '../../checks/units.js';
import type { PageFacts } from '../page-facts.js';
import { partHref, subjectTitle } from '../part-name.js';
import type { Trial } from '../trials.js';
import { burnInStateWords } from '../words.js';
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
      <Happenings trial={trial} nowMs={facts.nowMs} />
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
        {capital(wordStage(stage))} <span class="quiet">{standing}</span>
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
            <strong>
              {count} {count === 1 ? 'sector' : 'sectors'}
            </strong>{' '}
            {wordErrorKind(kind)}{' '}
            <span class="quiet">
              {firstLbas.length === 0
                ? ''
                : `at block ${firstLbas.map((lba) => formatNumber(lba)).join(', ')}`}
              {count > firstLbas.length && firstLbas.length > 0 ? ' and more' : ''}
            </span>
          </li>
        ))}
      </ul>
    </>
  );
};

const Happenings: FC<{ trial: Trial; nowMs: number }> = ({ trial, nowMs }) =>
  trial.happenings.length === 0 ? null : (
    <>
      <h3>What happened</h3>
      <ul class="sentences">
        {trial.happenings.map(({ wallMs, text }) => (
          <li>
            {text}{' '}
            <span class="quiet">
              <Age wallMs={wallMs} nowMs={nowMs} />
            </span>
          </li>
        ))}
      </ul>
    </>
  );

export const Verdict: FC<{ verdict: BurnInVerdict }> = ({ verdict }) => (
  <div class="verdict">
    <p class="answer">{capital(adviceWords[verdict.advice])}</p>
    {verdict.reasons.length === 0 ? null : (
      <ul class="sentences">
        {verdict.reasons.map((reason) => (
          <li>
            {capital(wordReason(reason))}. <span class="quiet">{reason.source}</span>
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
