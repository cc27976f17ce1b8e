// The only file that knows the chart library. Colours come from the style sheet, so light, dark
// and high contrast follow it.
import uPlot from 'uplot';

export interface Gap {
  readonly from: number;
  readonly to: number;
  readonly why: string;
}

type Column = readonly (number | null)[];

/** A line over x, and what is drawn around it. All columns have the length of `x`. */
export interface ChartContent {
  readonly x: readonly number[];
  readonly line: Column;
  /** An earlier line for comparison, drawn thin. */
  readonly earlier: Column | null;
  /** Lowest and highest of a band behind the line. */
  readonly band: { readonly low: Column; readonly high: Column } | null;
  readonly gaps: readonly Gap[];
  readonly from: number;
  readonly to: number;
  /** True when x is calendar seconds. */
  readonly timed: boolean;
  readonly wordsOfX: (x: number) => string;
  readonly wordsOfY: (y: number) => string;
  /** Called with the position pointed at or reached by the arrow keys, or null when left. */
  readonly onPoint: (index: number | null) => void;
}

const heightPixels = 220;

interface Inks {
  readonly ink: string;
  readonly quiet: string;
  readonly rule: string;
  readonly band: string;
  readonly hatch: string;
}

/** Draws into `place`, again when its width or the colours change. Returns a way to redraw. */
export function drawChart(place: HTMLElement, content: ChartContent): void {
  let plot: uPlot | null = null;
  let width = 0;
  const draw = () => {
    plot?.destroy();
    width = place.clientWidth;
    plot = new uPlot(optionsOf(content, inksOf(place), width), dataOf(content), place);
  };
  draw();
  new ResizeObserver(() => {
    if (place.clientWidth !== width) draw();
  }).observe(place);
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', draw);
  followKeys(place, content, () => plot);
}

function inksOf(place: HTMLElement): Inks {
  const style = getComputedStyle(place);
  const read = (name: string) => style.getPropertyValue(name).trim();
  return {
    ink: read('--ink'),
    quiet: read('--quiet'),
    rule: read('--rule'),
    band: read('--band'),
    hatch: read('--hatch'),
  };
}

function dataOf(content: ChartContent): uPlot.AlignedData {
  const none = content.x.map(() => null);
  const columns = [
    content.band?.high ?? none,
    content.band?.low ?? none,
    content.earlier ?? none,
    content.line,
  ];
  return [[...content.x], ...columns.map((column) => [...column])] as uPlot.AlignedData;
}

function optionsOf(content: ChartContent, inks: Inks, width: number): uPlot.Options {
  const font = `12px ${getComputedStyle(document.documentElement).getPropertyValue('--sans')}`;
  const axis = {
    stroke: inks.quiet,
    font,
    grid: { stroke: inks.rule, width: 1 },
    ticks: { stroke: inks.rule, width: 1, size: 4 },
  };
  return {
    width,
    height: heightPixels,
    legend: { show: false },
    cursor: { drag: { x: false, y: false }, y: false, points: { size: 8 } },
    scales: {
      x: { time: content.timed, range: [content.from, content.to] },
      y: { range: (_plot, low, high) => roomAround(low, high) },
    },
    axes: [
      { ...axis, space: 90, values: (_plot, splits) => splits.map(content.wordsOfX) },
      { ...axis, size: 78, space: 40, values: (_plot, splits) => splits.map(content.wordsOfY) },
    ],
    series: [
      {},
      { stroke: inks.band, width: 1, points: { show: false } },
      { stroke: inks.band, width: 1, points: { show: false } },
      { stroke: inks.quiet, width: 1, dash: [4, 4], points: { show: false } },
      { stroke: inks.ink, width: 1.75, points: lonePoints(inks) },
    ],
    bands: [{ series: [1, 2], fill: inks.band }],
    hooks: {
      drawClear: [(plot) => drawGaps(plot, content.gaps, inks)],
      setCursor: [(plot) => content.onPoint(plot.cursor.idx ?? null)],
    },
  };
}

/** A little room around the figures; a flat line gets a scale of its own height. */
function roomAround(low: number | null, high: number | null): [number, number] {
  if (low === null || high === null) return [0, 1];
  const span = high - low;
  const room = span > 0 ? span * 0.15 : Math.max(1, Math.abs(high) * 0.1);
  const bottom = low >= 0 ? Math.max(0, low - room) : low - room;
  return [bottom, high + room];
}

/** Figures with a gap on both sides have no line to be on: they get a point. */
function lonePoints(inks: Inks): uPlot.Series.Points {
  return {
    show: true,
    size: 5,
    fill: inks.ink,
    filter: (plot, seriesIndex) => {
      const column = plot.data[seriesIndex] ?? [];
      const lone: number[] = [];
      column.forEach((value, index) => {
        const before = column[index - 1] ?? null;
        const after = column[index + 1] ?? null;
        if (value != null && before === null && after === null) lone.push(index);
      });
      return lone;
    },
  };
}

const labelWidthMin = 64;

function drawGaps(plot: uPlot, gaps: readonly Gap[], inks: Inks): void {
  const { ctx, bbox } = plot;
  const scale = devicePixelRatio;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  for (const gap of gaps) {
    const left = Math.max(bbox.left, plot.valToPos(gap.from, 'x', true));
    const right = Math.min(bbox.left + bbox.width, plot.valToPos(gap.to, 'x', true));
    if (right <= left) continue;
    const area = { left, right, top: bbox.top, bottom: bbox.top + bbox.height };
    hatch(ctx, area, { ink: inks.hatch, rising: gap.why === 'box off' });
    if (right - left < labelWidthMin * scale) continue;
    ctx.fillStyle = inks.quiet;
    ctx.font = `${11 * scale}px sans-serif`;
    ctx.textAlign = 'center';
    ctx.fillText(gap.why, (left + right) / 2, bbox.top + 14 * scale);
  }
  ctx.restore();
}

interface Area {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Strokes rise where the box was off and fall where it was on without a figure. */
function hatch(
  ctx: CanvasRenderingContext2D,
  area: Area,
  { ink, rising }: { readonly ink: string; readonly rising: boolean },
): void {
  const step = 7 * devicePixelRatio;
  const height = area.bottom - area.top;
  ctx.save();
  ctx.beginPath();
  ctx.rect(area.left, area.top, area.right - area.left, height);
  ctx.clip();
  ctx.strokeStyle = ink;
  ctx.lineWidth = devicePixelRatio;
  ctx.beginPath();
  const first = Math.floor((area.left - height) / step) * step;
  for (let x = first; x < area.right; x += step) {
    ctx.moveTo(x, rising ? area.bottom : area.top);
    ctx.lineTo(x + height, rising ? area.top : area.bottom);
  }
  ctx.stroke();
  ctx.restore();
}

/** The arrow keys walk along the figures, Home and End go to the first and the last one. */
function followKeys(place: HTMLElement, content: ChartContent, plotNow: () => uPlot | null): void {
  const measured = content.line.flatMap((value, index) => (value === null ? [] : [index]));
  let at = measured.length;
  place.tabIndex = 0;
  place.addEventListener('keydown', (event) => {
    const plot = plotNow();
    const next = nextPosition(event.key, at, measured.length);
    const index = next === null ? undefined : measured[next];
    if (plot === null || next === null || index === undefined) return;
    event.preventDefault();
    at = next;
    const left = plot.valToPos(content.x[index] ?? 0, 'x');
    plot.setCursor({ left, top: 0 });
    content.onPoint(index);
  });
}

function nextPosition(key: string, at: number, count: number): number | null {
  if (count === 0) return null;
  if (key === 'ArrowLeft') return Math.max(0, at - 1);
  if (key === 'ArrowRight') return Math.min(count - 1, at + 1);
  if (key === 'Home') return 0;
  return key === 'End' ? count - 1 : null;
}
