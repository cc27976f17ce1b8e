import type { FC } from 'hono/jsx';
import type { BootRow, PartRow } from '../../agent/store/rows.js';
import type { Evidence, Finding } from '../../checks/finding.js';
import { urgencyWords } from '../../checks/state-words.js';
import { formatValue } from '../../checks/units.js';
import { calendarMs, placeBoots } from '../boot-places.js';
import { findingText } from '../finding-text.js';
import { capital } from '../letters.js';
import { momentWords } from '../moments.js';
import { partHref, subjectTitle } from '../part-name.js';

import { Age } from './time.js';

export interface FindingEntryProps {
  readonly finding: Finding;
  readonly parts: readonly PartRow[];
  readonly boots: readonly BootRow[];
  readonly nowMs: number;
  /** Whether the button that says "seen" can reach the agent. */
  readonly mayAcknowledge: boolean;
  /** Heading level of the entry within its page. */
  readonly brief?: boolean;
}

/** One finding: how urgent, what, about which part, what to do next, and on what evidence. */
export const FindingEntry: FC<FindingEntryProps> = (props) => {
  const { finding, parts, nowMs } = props;
  const text = findingText(finding);
  const known = parts.some((part) => part.name === finding.subject);
  const title = subjectTitle(finding.subject, parts);
  return (
    <article class={`entry finding ${finding.state} ${finding.urgency}`}>
      <div class="margin">
        <p class="urgency">
          {finding.state === 'cleared' ? 'Cleared' : capital(urgencyWords[finding.urgency])}
        </p>
        <p class="quiet">
          {finding.state === 'cleared' && finding.clearedWallMs !== null ? (
            <Age wallMs={finding.clearedWallMs} nowMs={nowMs} />
          ) : (
            <>
              since <Age wallMs={finding.openedWallMs} nowMs={nowMs} />
            </>
          )}
        </p>
      </div>
      <div class="matter">
        <h3>{text.headline}</h3>
        <p class="subject">{known ? <a href={partHref(finding.subject)}>{title}</a> : title}</p>
        <p>{text.detail}</p>
        {finding.state === 'open' ? (
          <p class="next">
            <strong>Next step:</strong> {finding.nextStep}
          </p>
        ) : null}
        <FindingMore {...props} />
      </div>
    </article>
  );
};

const FindingMore: FC<FindingEntryProps> = ({ finding, boots, brief, mayAcknowledge }) => (
  <div class="more">
    {brief === true ? (
      <p class="quiet">
        <a href={`/findings#finding-${finding.id}`}>Evidence</a>
        {finding.acknowledged ? ' · seen' : ''}
      </p>
    ) : (
      <>
        <details id={`finding-${finding.id}`}>
          <summary>Evidence and expectation</summary>
          <EvidenceList finding={finding} boots={boots} />
        </details>
        <Acknowledge finding={finding} mayAcknowledge={mayAcknowledge} />
      </>
    )}
  </div>
);

const EvidenceList: FC<{ finding: Finding; boots: readonly BootRow[] }> = ({ finding, boots }) => {
  const places = placeBoots(boots);
  const momentOf = (row: Evidence) => {
    const wallMs = calendarMs(places, row);
    return wallMs === null ? `boot ${row.boot}` : `${momentWords(wallMs)}, boot ${row.boot}`;
  };
  return (
    <>
      <p>
        Measured {valueWords(finding.measured, finding.unit)}, expected{' '}
        {valueWords(finding.expected, finding.unit)}. Expectation from: {finding.source}.
      </p>
      <table class="ledger">
        <thead>
          <tr>
            <th scope="col">Read</th>
            <th scope="col" class="number">
              Value
            </th>
            <th scope="col">When</th>
          </tr>
        </thead>
        <tbody>
          {finding.evidence.map((row) => (
            <tr>
              <th scope="row">{row.label}</th>
              <td class="number">{valueWords(row.value, row.unit)}</td>
              <td>{momentOf(row)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
};

function valueWords(value: number | null, unit: Finding['unit']): string {
  return value === null ? 'no figure' : formatValue(value, unit);
}

const Acknowledge: FC<{ finding: Finding; mayAcknowledge: boolean }> = (props) => {
  const { finding, mayAcknowledge } = props;
  if (finding.state === 'cleared') return null;
  if (finding.acknowledged) return <p class="quiet">Marked as seen.</p>;
  if (!mayAcknowledge) {
    return <p class="quiet">It can be marked as seen when the agent answers.</p>;
  }
  return (
    <form method="post" action={`/findings/${finding.id}/acknowledge`}>
      <button type="submit">Mark as seen</button>
    </form>
  );
};
