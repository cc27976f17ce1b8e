import type { FC } from 'hono/jsx';
import type { BootRow, PartRow } from '../../agent/store/rows.js';
import type { Finding } from '../../checks/finding.js';
import type { PageFacts } from '../page-facts.js';
import { FindingEntry } from './finding-entry.js';

export interface FindingsPageProps {
  readonly facts: PageFacts;
  readonly open: readonly Finding[];
  readonly cleared: readonly Finding[];
  readonly parts: readonly PartRow[];
  readonly boots: readonly BootRow[];
}

export const FindingsPage: FC<FindingsPageProps> = (props) => (
  <>
    <div class="title">
      <h1>Findings</h1>
      <p class="lede">
        What is below expected, each with its next step. A finding clears by itself when the figures
        have been right again for long enough.
      </p>
    </div>
    <section aria-labelledby="open">
      <h2 id="open">Open</h2>
      <Entries {...props} findings={props.open} none="Nothing is open." />
    </section>
    <section aria-labelledby="cleared">
      <h2 id="cleared">Cleared</h2>
      <Entries {...props} findings={props.cleared} none="Nothing has been cleared yet." />
    </section>
  </>
);

const Entries: FC<FindingsPageProps & { findings: readonly Finding[]; none: string }> = (props) => {
  const { findings, none, parts, boots, facts } = props;
  if (findings.length === 0) return <p>{none}</p>;
  return (
    <>
      {findings.map((finding) => (
        <FindingEntry
          finding={finding}
          parts={parts}
          boots={boots}
          nowMs={facts.nowMs}
          mayAcknowledge={facts.agent.answers}
        />
      ))}
    </>
  );
};
