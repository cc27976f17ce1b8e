import type { FC } from 'hono/jsx';
import type { BootRow, LatestReading, PartRow } from '../../agent/store/rows.js';
import { blockWords } from '../../checks/block-words.js';
import { formatFigureName } from '../../checks/figure-name.js';
import { lastPlace, portWords } from '../../checks/gone.js';
import { identityDoubt } from '../../checks/identity-doubt.js';
import { adviceWords } from '../../checks/state-words.js';
import { formatValue } from '../../checks/units.js';
import type { PageFacts } from '../page-facts.js';
import {
  bytesHref,
  numberDetail,
  partHref,
  partTitle,
  subjectTitle,
  textDetail,
} from '../part-name.js';
import type { PartView } from '../part-view.js';
import { burnInStateWords } from '../words.js';
import { EventList } from './event-list.js';
import { FindingEntry } from './finding-entry.js';
import { Gone } from './gone.js';
import { HistoryCharts } from './history-charts.js';
import { DoubtedIdentity } from './identity-doubt.js';
import { HourCounters, ReadingTable } from './reading-table.js';
import { SpeedAlong } from './speed-along.js';
import { Age, Moment } from './time.js';
import { Verdict } from './trial-page.js';

export interface PartPageProps {
  readonly facts: PageFacts;
  readonly view: PartView;
  readonly parts: readonly PartRow[];
  readonly boots: readonly BootRow[];
  readonly days: number;
}

export const PartPage: FC<PartPageProps> = (props) => {
  const { facts, view } = props;
  const doubt = identityDoubt(view.part);
  return (
    <>
      <div class="title">
        <h1>{partTitle(view.part)}</h1>
        {view.goneWallMs === null ? null : (
          <Gone
            wallMs={view.goneWallMs}
            lastPlace={lastPlace(view.part.details, (name) => subjectTitle(name, props.parts))}
            nowMs={facts.nowMs}
          />
        )}
        {doubt === null ? null : <DoubtedIdentity doubt={doubt} />}
        <p class="lede">{view.sentence}</p>
        <Facts {...props} />
      </div>
      {view.findings.length === 0 ? null : (
        <section aria-labelledby="findings">
          <h2 id="findings">Findings</h2>
          {view.findings.map((finding) => (
            <FindingEntry
              finding={finding}
              parts={props.parts}
              boots={props.boots}
              nowMs={facts.nowMs}
              mayAcknowledge={facts.agent.answers}
            />
          ))}
        </section>
      )}
      <Checks {...props} />
      <Readings {...props} />
      <Happened {...props} />
      <HistoryCharts part={view.part} charts={view.charts} days={props.days} />
      {view.part.kind === 'drive' ? <SpeedAlong part={view.part} runs={view.speedRuns} /> : null}
      {view.part.kind === 'drive' ? <Trials {...props} /> : null}
    </>
  );
};

const Facts: FC<PartPageProps> = ({ view, facts, parts }) => {
  const { part } = view;
  const capacity = numberDetail(part, 'capacityBytes');
  const rows: readonly (readonly [string, string | null])[] = [
    ['Serial', textDetail(part, 'serial')],
    ['Bay', textDetail(part, 'bay')],
    ['Firmware', textDetail(part, 'firmware')],
    ['Capacity', capacity === null ? null : formatValue(capacity, 'bytes')],
    ['Blocks', blocksOf(part)],
    ['World-wide name', textDetail(part, 'worldWideName')],
    ['Driver', textDetail(part, 'driver')],
    ['Follows', followsWords(textDetail(part, 'specification'))],
    ['Hardware address', textDetail(part, 'hardwareAddress')],
  ];
  const controller = textDetail(part, 'controller');
  const port = textDetail(part, 'port');
  return (
    <dl class="facts">
      {rows.map(([name, words]) => (words === null ? null : <Fact name={name}>{words}</Fact>))}
      {controller === null ? null : (
        <Fact name="Connected to">
          <a href={partHref(controller)}>{subjectTitle(controller, parts)}</a>
          {port === null ? '' : `, ${portWords(port)}`}
        </Fact>
      )}
      {view.goneWallMs !== null || part.details.slotAddress === undefined ? null : (
        <Fact name="Slot">PCI address {textDetail(part, 'slotAddress')}</Fact>
      )}
      <Fact name="First seen">
        <Moment wallMs={part.firstWallMs} />
      </Fact>
      <Fact name="Newest reading">
        {view.newestWallMs === null ? (
          'none'
        ) : (
          <Age wallMs={view.newestWallMs} nowMs={facts.nowMs} />
        )}
      </Fact>
    </dl>
  );
};

function blocksOf(part: PartRow): string | null {
  const logical = numberDetail(part, 'logicalBlockBytes');
  const physical = numberDetail(part, 'physicalBlockBytes');
  return logical === null || physical === null ? null : blockWords(logical, physical);
}

function followsWords(specification: string | null): string | null {
  return specification === null ? null : `IPMI ${specification}`;
}

const Fact: FC<{ name: string; children?: unknown }> = ({ name, children }) => (
  <div>
    <dt>{name}</dt>
    <dd>{children}</dd>
  </div>
);

const Checks: FC<PartPageProps> = ({ view }) =>
  view.checks.length === 0 ? null : (
    <section aria-labelledby="checks">
      <h2 id="checks">What is checked</h2>
      <table class="ledger checks">
        <thead>
          <tr>
            <th scope="col">Claim</th>
            <th scope="col">Result by the newest readings</th>
          </tr>
        </thead>
        <tbody>
          {view.checks.map((line) => (
            <tr>
              <th scope="row">
                {line.claim}
                {line.place === '' ? null : <span class="place">{line.place}</span>}
              </th>
              <td class={line.outcome === 'short' ? 'short' : undefined}>{line.words}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );

const Readings: FC<PartPageProps> = ({ view, facts }) => {
  const bytesOf = (reading: LatestReading): string | null =>
    view.withBytes.has(formatFigureName(reading)) ? bytesHref(view.part.name, reading) : null;
  return (
    <section aria-labelledby="readings">
      <h2 id="readings">Readings</h2>
      {view.groups.length === 0 ? <p>Nothing has been read from it yet.</p> : null}
      {view.withBytes.size === 0 ? null : (
        <p class="quiet">
          A figure with a dotted line leads to the bytes that the drive gave for it.
        </p>
      )}
      {view.groups.length === 0 ? null : (
        <ReadingTable
          groups={view.groups}
          isDrive={view.part.kind === 'drive'}
          isGone={view.goneWallMs !== null}
          bytesOf={bytesOf}
          nowMs={facts.nowMs}
        />
      )}
      {view.hours.length > 1 ? <HourCounters hours={view.hours} bytesOf={bytesOf} /> : null}
    </section>
  );
};

const Happened: FC<PartPageProps> = ({ view }) =>
  view.events.length === 0 ? null : (
    <section aria-labelledby="happened">
      <h2 id="happened">What happened</h2>
      <EventList events={view.events} parts={null} />
    </section>
  );

const Trials: FC<PartPageProps> = ({ view, facts }) => (
  <section aria-labelledby="trials">
    <h2 id="trials">Burn-ins</h2>
    {view.burnIns.length === 0 ? <p>This drive has not been through a burn-in here.</p> : null}
    {view.burnIns.map((row) => (
      <article class="entry">
        <div class="margin">
          <p>
            <a href={`/trial#run-${row.run}`}>Run {row.run}</a>
          </p>
          <p class="quiet">
            <Age wallMs={row.started.wallMs} nowMs={facts.nowMs} />
          </p>
        </div>
        <div class="matter">
          <p>
            {row.erases ? 'Read, write and verify' : 'Read only'}, {burnInStateWords[row.state]}
            {row.verdict === null ? '.' : `: ${adviceWords[row.verdict.advice]}.`}
          </p>
          {row.verdict === null ? null : (
            <details>
              <summary>Reasons, proven and not proven</summary>
              <Verdict verdict={row.verdict} />
            </details>
          )}
        </div>
      </article>
    ))}
  </section>
);
