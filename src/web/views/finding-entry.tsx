import type { FC } from 'hono/jsx';
import type { BootRow, PartRow } from '../../agent/store/rows.js';
import type { Evidence, Finding } from '../../checks/finding.js';
import { findingCode } from '../../checks/finding-codes.js';
import { capital } from '../../checks/letters.js';
import { momentWords, roughLength } from '../../checks/moments.js';
import { clearedWords, urgencyWords } from '../../checks/state-words.js';
import { formatValue } from '../../checks/units.js';
import { codeTitle, wordFinding } from '../../checks/wording.js';
import { calendarMs, placeBoots } from '../boot-places.js';
import { partHref, subjectTitle } from '../part-name.js';

import { Age } from './time.js';

export interface FindingEntryProps {
  readonly finding: Finding;
  readonly parts: readonly PartRow[];
  readonly boots: readonly BootRow[];
  readonly nowMs: number;
  /** Whether the button that says "seen" can reach the agent. */
  readonly mayAcknowledge: boolean;
  /** Without evidence and buttons, which the page of findings has. */
  readonly brief?: boolean;
}

/** One finding: how urgent, what, about which part, what to do next, and on what evidence. */
export const FindingEntry: FC<FindingEntryProps> = (props) => {
  const { finding, parts, nowMs } = props;
  const words = wordFinding(finding);
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
            `open for ${roughLength(nowMs - finding.openedWallMs)}`
          )}
        </p>
      </div>
      <div class="matter">
        <h3>{capital(codeTitle(finding.code))}</h3>
        <p class="subject">{known ? <a href={partHref(finding.subject)}>{title}</a> : title}</p>
        <p>{words.sentence}</p>
        {finding.clearedWhy === null ? null : (
          <p class="quiet">{capital(clearedWords[finding.clearedWhy])}.</p>
        )}
        {finding.state === 'open' ? (
          <p class="next">
            <strong>Next step:</strong> {words.nextStep}
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
        <Buttons finding={finding} mayAcknowledge={mayAcknowledge} />
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
        {wordFinding(finding).expectedSentence} Measured{' '}
        {formatValue(finding.measured, finding.unit)}.
      </p>
      {finding.evidence.length === 0 ? (
        <p>No single readings are kept with it.</p>
      ) : (
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
                <td class="number">{formatValue(row.value, row.unit)}</td>
                <td>{momentOf(row)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      )}
    </>
  );
};

const Buttons: FC<{ finding: Finding; mayAcknowledge: boolean }> = (props) => {
  const { finding, mayAcknowledge } = props;
  if (finding.state === 'cleared') return null;
  if (!mayAcknowledge) {
    return <p class="quiet">It can be marked as seen when the agent answers.</p>;
  }
  return (
    <>
      {finding.acknowledged ? (
        <p class="quiet">Marked as seen.</p>
      ) : (
        <form method="post" action={`/findings/${finding.id}/acknowledge`}>
          <button type="submit">Mark as seen</button>
        </form>
      )}
      {findingCode(finding.code)?.clearedByAccounting === true ? (
        <Account finding={finding} />
      ) : null}
    </>
  );
};

const Account: FC<{ finding: Finding }> = ({ finding }) => (
  <details>
    <summary>Account for it …</summary>
    <p>
      When you know what caused this and have dealt with it: what happened until now no longer
      counts, and the finding opens again only if it goes on.
    </p>
    <form method="post" action={`/findings/${finding.id}/account-for`}>
      <button type="submit">The cause is dealt with</button>
    </form>
  </details>
);
