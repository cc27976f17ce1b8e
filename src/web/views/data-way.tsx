import type { FC } from 'hono/jsx';
import { limitLines, wayLines } from '../../checks/model/estimate/way-lines.js';
import type { WayOfData } from '../../checks/model/estimate/way-of-data.js';
import { formatBytesPerSecond } from '../../checks/units.js';
import {
  type Drawing,
  type DrawnPart,
  drawWay,
  partHeight,
  partOfWay,
  partWidth,
} from '../way-drawing.js';

/** The way of the data, drawn left to right in two parts, and the same in words. */
export const DataWay: FC<{ way: WayOfData }> = ({ way }) => {
  const limits = limitLines(way);
  return (
    <section aria-labelledby="way">
      <h2 id="way">The way of the data</h2>
      <p>
        A line is as thick as what it can carry. Where the way is marked as a limit, a faster part
        in that place would make something faster; elsewhere it would not.
      </p>
      <WaySide way={partOfWay(way, 'inward')} title="From the drives to the processor" />
      <WaySide way={partOfWay(way, 'outward')} title="From the processor to the clients" />
      {limits.length === 0 ? null : (
        <ul class="plain">
          {limits.map((line) => (
            <li>
              <strong>Limit:</strong> {line}.
            </li>
          ))}
        </ul>
      )}
      <details>
        <summary>The same way in words</summary>
        <ul class="plain">
          {wayLines(way).map((line) => (
            <li>{line}</li>
          ))}
        </ul>
      </details>
    </section>
  );
};

const WaySide: FC<{ way: WayOfData; title: string }> = ({ way, title }) => {
  if (way.lines.length === 0) return null;
  const drawing = drawWay(way);
  const thickest =
    drawing.thickest === null
      ? 'what the lines carry is not told'
      : `the thickest line carries ${formatBytesPerSecond(drawing.thickest)}`;
  return (
    <figure class="way">
      <figcaption>
        {title} <span class="quiet">({thickest})</span>
      </figcaption>
      <section class="way-scroll" aria-label={`${title}, drawn`} tabindex={0}>
        <WaySvg drawing={drawing} words={wayLines(way).join('. ')} />
      </section>
    </figure>
  );
};

const WaySvg: FC<{ drawing: Drawing; words: string }> = ({ drawing, words }) => {
  const { width, height, headings, parts, links } = drawing;
  return (
    <svg
      width={width}
      height={height}
      viewBox={`0 0 ${width} ${height}`}
      role="img"
      aria-label={words}
    >
      {headings.map(({ text, x }) => (
        <text class="way-heading" x={x} y={12}>
          {text}
        </text>
      ))}
      {links.map(({ path, thickness, unknown, limit }) => (
        <path
          class={`way-link${unknown ? ' unknown' : ''}${limit ? ' limit' : ''}`}
          d={path}
          stroke-width={thickness.toFixed(1)}
        />
      ))}
      {parts.map((part) => (
        <WayPart part={part} />
      ))}
    </svg>
  );
};

const lettersMax = 18;
/** Kinds of part whose place says more than why they carry what they carry. */
const placed: readonly string[] = ['drive', 'cable', 'processor'];

const WayPart: FC<{ part: DrawnPart }> = ({ part: { node, x, y } }) => {
  const limit = node.holdsBack.length > 0;
  const top = y - partHeight / 2;
  const rate = node.bytesPerSecond === null ? null : formatBytesPerSecond(node.bytesPerSecond);
  const place = placed.includes(node.column) ? node.detail : null;
  const below = [place, rate].filter((one) => one !== null).join(', ');
  return (
    <g class={limit ? 'way-part limit' : 'way-part'}>
      <title>
        {[node.label, node.detail, rate, ...node.holdsBack.map((one) => `holds back ${one}`)]
          .filter((one) => one !== null)
          .join('; ')}
      </title>
      <rect x={x} y={top} width={partWidth} height={partHeight} />
      <text x={x + 6} y={y - 4}>
        {shortened(node.label)}
      </text>
      <text class="way-figure" x={x + 6} y={y + 13}>
        {shortened(limit ? `${rate ?? ''}, limit` : below)}
      </text>
    </g>
  );
};

function shortened(text: string): string {
  return text.length <= lettersMax ? text : `${text.slice(0, lettersMax - 1)}…`;
}
