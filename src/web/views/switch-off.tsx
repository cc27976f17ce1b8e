import type { FC } from 'hono/jsx';
import { clockWords, dayWords, momentWords } from '../../checks/moments.js';
import type { SwitchOffAnswer } from '../../checks/safe-to-switch-off.js';

/** "Safe to switch off?", always answered, with the reason and the time where there is one. */
export const SwitchOff: FC<{ answer: SwitchOffAnswer; nowMs: number }> = ({ answer, nowMs }) => (
  <section class={`switch-off ${answer.answer}`} aria-labelledby="switch-off">
    <h2 id="switch-off">Safe to switch off?</h2>
    <p class="answer">
      {answer.words}
      {answer.untilMs === null ? null : `, until about ${untilWords(answer.untilMs, nowMs)}`}
    </p>
    {answer.reasons.map((reason) => (
      <p>{reason}.</p>
    ))}
    {answer.caveats.map((caveat) => (
      <p class="quiet">{caveat}.</p>
    ))}
  </section>
);

function untilWords(untilMs: number, nowMs: number): string {
  return dayWords(untilMs) === dayWords(nowMs) ? clockWords(untilMs) : momentWords(untilMs);
}
