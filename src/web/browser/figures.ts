// Fills the chart places of a page: fetches the columns and says in words what is pointed at.
import type { Unit } from '../../checks/reading.js';
import { formatBytes, formatValue } from '../../checks/units.js';
import { type ChartContent, drawChart, type Gap } from './chart.js';

type Column = readonly (number | null)[];

interface HistoryAnswer {
  readonly x: readonly number[];
  readonly y: Column;
  readonly low: Column;
  readonly high: Column;
  readonly gaps: readonly Gap[];
  readonly from: number;
  readonly to: number;
}

interface PlacesAnswer {
  readonly x: readonly number[];
  readonly newest: Column;
  readonly earlier: Column | null;
  readonly expectedLow: Column | null;
  readonly expectedHigh: Column | null;
}

const dayMonth = new Intl.DateTimeFormat('en-GB', { day: 'numeric', month: 'short' });
const fullMoment = new Intl.DateTimeFormat('en-GB', { dateStyle: 'long', timeStyle: 'short' });
const hourMinute = new Intl.DateTimeFormat('en-GB', { hour: '2-digit', minute: '2-digit' });
const twoDaysSeconds = 2 * 86_400;

/** Draws every chart of the page; one that cannot be loaded says so in its own place. */
export function drawFigures(): void {
  for (const figure of document.querySelectorAll<HTMLElement>('figure[data-chart]')) {
    void drawFigure(figure);
  }
}

async function drawFigure(figure: HTMLElement): Promise<void> {
  const place = figure.querySelector<HTMLElement>('.chart-place');
  const words = figure.querySelector<HTMLElement>('.chart-words');
  const address = figure.dataset.address;
  if (place === null || words === null || address === undefined) return;
  const answer = await load(address);
  if (answer === null) {
    words.textContent = 'The figures of this chart could not be loaded.';
    return;
  }
  const unit = (figure.dataset.unit ?? 'count') as Unit;
  const say = (text: string) => {
    words.textContent = text;
  };
  const isHistory = figure.dataset.chart === 'history';
  const content = isHistory
    ? historyContent(answer as HistoryAnswer, unit, say)
    : placesContent(answer as PlacesAnswer, unit, say);
  if (content.line.every((value) => value === null)) {
    say('Nothing was measured in this stretch of time.');
    if (content.gaps.length === 0) return;
  }
  drawChart(place, content);
}

async function load(address: string): Promise<unknown> {
  try {
    const response = await fetch(address);
    return response.ok ? await response.json() : null;
  } catch {
    return null;
  }
}

type Say = (text: string) => void;

function historyContent(answer: HistoryAnswer, unit: Unit, say: Say): ChartContent {
  const summary = summaryOf(answer, unit);
  say(summary);
  const short = answer.to - answer.from <= twoDaysSeconds;
  const axis = short ? hourMinute : dayMonth;
  return {
    x: answer.x,
    line: answer.y,
    earlier: null,
    band: { low: answer.low, high: answer.high },
    gaps: answer.gaps,
    from: answer.from,
    to: answer.to,
    timed: true,
    wordsOfX: (x) => axis.format(x * 1000),
    wordsOfY: (y) => formatValue(y, unit),
    onPoint: (index) => say(index === null ? summary : pointWords(answer, unit, index)),
  };
}

function pointWords(answer: HistoryAnswer, unit: Unit, index: number): string {
  const when = fullMoment.format((answer.x[index] ?? 0) * 1000);
  const value = answer.y[index] ?? null;
  return `${when}: ${value === null ? gapWords(answer, index) : formatValue(value, unit)}`;
}

/** Why there is no figure at a position. */
function gapWords(answer: HistoryAnswer, index: number): string {
  const x = answer.x[index] ?? 0;
  return answer.gaps.find((gap) => x >= gap.from - 1 && x <= gap.to)?.why ?? 'no figure';
}

function summaryOf(answer: HistoryAnswer, unit: Unit): string {
  const figures = answer.y.filter((value) => value !== null);
  const last = figures.at(-1);
  if (last === undefined) return '';
  const lowest = formatValue(Math.min(...answer.low.filter((value) => value !== null)), unit);
  const highest = formatValue(Math.max(...answer.high.filter((value) => value !== null)), unit);
  const reasons = [...new Set(answer.gaps.map((gap) => gap.why))];
  const shaded = reasons.length === 0 ? '' : ` Shaded: ${reasons.join(', ')}.`;
  return `Newest ${formatValue(last, unit)}, lowest ${lowest}, highest ${highest}.${shaded}`;
}

function placesContent(answer: PlacesAnswer, unit: Unit, say: Say): ChartContent {
  const { expectedLow: low, expectedHigh: high } = answer;
  const summary = [
    'Line: newest measurement.',
    answer.earlier === null ? '' : 'Dashes: the one before.',
    low === null ? '' : 'Band: what is expected.',
  ].join(' ');
  say(summary);
  return {
    x: answer.x,
    line: answer.newest,
    earlier: answer.earlier,
    band: low === null || high === null ? null : { low, high },
    gaps: [],
    from: 0,
    to: Math.max(1, answer.x.at(-1) ?? 1),
    timed: false,
    wordsOfX: (x) => formatBytes(x),
    wordsOfY: (y) => formatValue(y, unit),
    onPoint: (index) => {
      const value = index === null ? null : (answer.newest[index] ?? null);
      if (index === null) return say(summary);
      say(`At ${formatBytes(answer.x[index] ?? 0)}: ${formatValue(value, unit)}`);
    },
  };
}
