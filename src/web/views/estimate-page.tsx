import type { FC } from 'hono/jsx';
import { capital } from '../../checks/letters.js';
import { chanceWords, otherWords, rebuildWords } from '../../checks/model/estimate/array-lines.js';
import { gainWords } from '../../checks/model/estimate/lines.js';
import { pathWords } from '../../checks/model/estimate/path-words.js';
import { costLine, powerLines } from '../../checks/model/estimate/power-lines.js';
import { shownPaths } from '../../checks/model/estimate/shown-paths.js';
import type { EstimateTold } from '../../checks/model/estimate/tell-estimate.js';
import type { ArrayEstimate, PathEstimate } from '../../checks/model/estimate/types.js';
import { formatBytes, formatBytesPerSecond } from '../../checks/units.js';
import { DataWay } from './data-way.js';

/** Why there is no estimate, as the page says it. */
export const NoEstimate: FC = () => (
  <div class="title">
    <h1>Estimate</h1>
    <p class="lede">
      There is no build model yet, or it has a fault that <code>bayward start</code> names. Run{' '}
      <code>bayward scan</code> on the box: it writes a first model and says what only you can fill
      in.
    </p>
  </div>
);

export interface EstimatePageProps extends EstimateTold {
  /** Serials of drives whose own first measurement was reckoned with. */
  readonly measured: readonly string[];
}

export const EstimatePage: FC<EstimatePageProps> = ({ found, way, gains, enough, measured }) => (
  <>
    <div class="title">
      <h1>What this build should reach</h1>
      <p class="lede">
        Reckoned from the build model before anything is measured: what each part lets through, what
        holds the others back, and what a rebuild takes and risks.
        {measured.length === 0
          ? ''
          : ` The first measurement of ${measured.join(', ')} stands in place of its class.`}
      </p>
    </div>
    <DataWay way={way} />
    {found.arrays.map((array) => (
      <ArrayPart array={array} />
    ))}
    <Sentences id="gains" title="What a better part would buy" lines={gains.map(gainWords)} />
    <Sentences id="enough" title="Enough for this build" lines={enough.map(({ text }) => text)} />
    <section aria-labelledby="paths">
      <h2 id="paths">What each path carries</h2>
      <PathTable paths={shownPaths(found)} />
    </section>
    <Sentences
      id="power"
      title="Power"
      lines={powerLines(found.power, found.cost.currency).map((line) => line.trim())}
    />
    <Sentences id="cost" title="Cost" lines={[costLine(found.cost)]} />
    <Sentences id="mind" title="To mind" lines={found.warnings.map(({ text }) => text)} />
    <Sentences id="assumed" title="Taken for granted" lines={found.assumed} />
  </>
);

const Sentences: FC<{ id: string; title: string; lines: readonly string[] }> = ({
  id,
  title,
  lines,
}) =>
  lines.length === 0 ? null : (
    <section aria-labelledby={id}>
      <h2 id={id}>{title}</h2>
      <ul class="plain">
        {lines.map((line) => (
          <li>{line}.</li>
        ))}
      </ul>
    </section>
  );

const ArrayPart: FC<{ array: ArrayEstimate }> = ({ array }) => {
  const { name, title, rebuild, unreadableSectorProbability: chance, risk } = array;
  return (
    <section aria-labelledby={`array-${name}`}>
      <h2 id={`array-${name}`}>
        {name}: {title}
      </h2>
      <ul class="plain">
        <li>
          Holds {formatBytes(array.usableBytes)}; reads{' '}
          {formatBytesPerSecond(array.readBytesPerSecond)} and writes{' '}
          {formatBytesPerSecond(array.writeBytesPerSecond)} in one stream.
        </li>
        {rebuild === null ? null : <li>{capital(rebuildWords(rebuild))}.</li>}
        {chance === null ? null : <li>{capital(chanceWords(chance))}.</li>}
        <li>
          Risk while a member is replaced: <strong>{risk.level}</strong>. {risk.why.join('. ')}.
        </li>
        <li>{risk.adequacy}.</li>
      </ul>
      {array.otherLayouts.length === 0 ? null : (
        <details>
          <summary>The same drives under another layout</summary>
          <ul class="plain">
            {array.otherLayouts.map((other) => (
              <li>{otherWords(other)}</li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
};

const PathTable: FC<{ paths: readonly PathEstimate[] }> = ({ paths }) => (
  <table class="ledger">
    <thead>
      <tr>
        <th scope="col">Path</th>
        <th scope="col" class="number">
          Carries
        </th>
        <th scope="col">Held by</th>
      </tr>
    </thead>
    <tbody>
      {paths.map((path) => (
        <tr>
          <th scope="row">{capital(pathWords(path))}</th>
          <td class="number">{formatBytesPerSecond(path.limit?.bytesPerSecond ?? null)}</td>
          <td>
            {path.limit?.part ?? 'not told'}
            <span class="why">{whyOf(path)}</span>
          </td>
        </tr>
      ))}
    </tbody>
  </table>
);

function whyOf({ stages, limit }: PathEstimate): string {
  const stage = stages.find(({ part }) => part === limit?.part);
  return stage === undefined ? '' : `${stage.why} (${stage.source})`;
}
