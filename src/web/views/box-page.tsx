import type { FC } from 'hono/jsx';
import type { BootRow, EventRow, PartRow } from '../../agent/store/rows.js';
import type { Finding } from '../../checks/finding.js';
import type { MachineSeen } from '../../checks/part.js';
import type { SwitchOffAnswer } from '../../checks/safe-to-switch-off.js';
import { formatDuration, formatValue } from '../../checks/units.js';
import type { PartGroupView, PartLine } from '../box-view.js';
import type { PageFacts } from '../page-facts.js';
import { partHref, partTitle } from '../part-name.js';
import { EventList } from './event-list.js';
import { FindingEntry } from './finding-entry.js';
import { Gone } from './gone.js';
import { DoubtedIdentity } from './identity-doubt.js';
import { RunningList } from './running-work.js';
import { SwitchOff } from './switch-off.js';
import { Age } from './time.js';

export interface BoxPageProps {
  readonly facts: PageFacts;
  readonly findings: readonly Finding[];
  readonly groups: readonly PartGroupView[];
  readonly parts: readonly PartRow[];
  readonly boots: readonly BootRow[];
  readonly switchOff: SwitchOffAnswer;
  /** What happened lately to any part. */
  readonly events: readonly EventRow[];
}

export const BoxPage: FC<BoxPageProps> = (props) => {
  const { facts, groups, parts } = props;
  return (
    <>
      <MachineHead facts={facts} />
      <div class="columns">
        <section class="wide" aria-labelledby="findings" data-live="findings">
          <h2 id="findings">Findings</h2>
          <FindingList {...props} />
        </section>
        <div class="aside" data-live="aside">
          <SwitchOff answer={props.switchOff} nowMs={facts.nowMs} />
          <section aria-labelledby="running">
            <h2 id="running">Running now</h2>
            <RunningList agent={facts.agent} parts={parts} />
          </section>
        </div>
        <section class="wide" aria-labelledby="parts" data-live="parts">
          <h2 id="parts">Parts</h2>
          {groups.map((group) => (
            <PartGroup group={group} nowMs={facts.nowMs} />
          ))}
        </section>
        <div class="rest" data-live="rest">
          <Happened {...props} />
          <Remarks facts={facts} />
        </div>
      </div>
    </>
  );
};

const MachineHead: FC<{ facts: PageFacts }> = ({ facts }) => {
  const { agent } = facts;
  const machine = agent.answers ? (agent.status.machine ?? null) : null;
  return (
    <div class="title" data-live="machine">
      <h1>{machine === null || machine.hostName === '' ? 'This box' : machine.hostName}</h1>
      {agent.answers ? (
        <p class="lede">
          {machine === null ? null : `${machineWords(machine)}. `}On for{' '}
          {formatDuration(agent.status.bootMs / 1000)}, boot {agent.status.boot}.
        </p>
      ) : null}
    </div>
  );
};

function machineWords(machine: MachineSeen): string {
  const memory = machine.memoryBytes;
  return [
    machine.board,
    machine.processor,
    memory === null ? null : `${formatValue(memory, 'bytes')} of memory`,
    machine.kernel,
  ]
    .filter((words) => words !== null && words !== '')
    .join(' · ');
}

const FindingList: FC<BoxPageProps> = ({ findings, parts, boots, facts }) => (
  <div>
    {findings.length === 0 ? (
      <p>
        Nothing is open. A check that could not be made opens nothing: each part’s page says so.
      </p>
    ) : null}
    {findings.map((finding) => (
      <FindingEntry
        finding={finding}
        parts={parts}
        boots={boots}
        nowMs={facts.nowMs}
        mayAcknowledge={false}
        brief
      />
    ))}
  </div>
);

const PartGroup: FC<{ group: PartGroupView; nowMs: number }> = ({ group, nowMs }) => (
  <div class="group">
    <h3>{group.title}</h3>
    {group.emptyWhy === null ? null : <p class="quiet">{group.emptyWhy}.</p>}
    {group.lines.map((line) => (
      <PartEntry line={line} nowMs={nowMs} />
    ))}
  </div>
);

const PartEntry: FC<{ line: PartLine; nowMs: number }> = ({ line, nowMs }) => (
  <article class="entry">
    <p class="margin quiet">
      {line.newestWallMs === null ? 'never read' : <Age wallMs={line.newestWallMs} nowMs={nowMs} />}
    </p>
    <div class="matter">
      <h4>
        <a href={partHref(line.part.name)}>{partTitle(line.part)}</a>
      </h4>
      {line.goneWallMs === null ? null : (
        <Gone wallMs={line.goneWallMs} lastPlace={line.lastPlace} nowMs={nowMs} />
      )}
      {line.doubt === null ? null : <DoubtedIdentity doubt={line.doubt} />}
      <p>{line.sentence}</p>
    </div>
  </article>
);

const Happened: FC<BoxPageProps> = ({ events, parts }) =>
  events.length === 0 ? null : (
    <section aria-labelledby="happened">
      <h2 id="happened">What happened lately</h2>
      <EventList events={events} parts={parts} />
    </section>
  );

const Remarks: FC<{ facts: PageFacts }> = ({ facts: { agent } }) => {
  if (!agent.answers) return null;
  const { inventoryRemarks, modelFile } = agent.status;
  const limits = [...agent.status.limits, ...emptyFigures(agent.status.emptyWhy ?? {})];
  return (
    <>
      <section aria-labelledby="model">
        <h2 id="model">Against the build model</h2>
        {modelFile === null ? (
          <p>
            There is no model file yet, so parts are watched without expectations of their own. Run{' '}
            <code>bayward scan</code> on the box to write a first one.
          </p>
        ) : inventoryRemarks.length === 0 ? (
          <p>Every part is where the model file says.</p>
        ) : (
          <SentenceList sentences={inventoryRemarks} />
        )}
      </section>
      {limits.length === 0 ? null : (
        <section aria-labelledby="limits">
          <h2 id="limits">What cannot be read here</h2>
          <SentenceList sentences={limits} />
        </section>
      )}
    </>
  );
};

/** Kinds of figures that are read nowhere on this box; parts that are absent are told elsewhere. */
function emptyFigures(emptyWhy: Readonly<Record<string, string>>): readonly string[] {
  const ofChips = emptyWhy['sensor-chips'] === undefined ? ['temperature-sensors', 'fans'] : [];
  const others = ['sata-links', 'memory-errors', 'kernel-log', 'management-records'];
  return [...ofChips, ...others].flatMap((key) => emptyWhy[key] ?? []);
}

const SentenceList: FC<{ sentences: readonly string[] }> = ({ sentences }) => (
  <ul class="sentences">
    {sentences.map((sentence) => (
      <li>{sentence}</li>
    ))}
  </ul>
);
