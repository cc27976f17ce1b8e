/** One figure of a part: its metric and, where the metric has several places, which of them. */
export interface FigureName {
  readonly metric: string;
  /** Empty where the metric has one place only. */
  readonly place: string;
}

/**
 * The name of a figure as one text, for addresses and command lines: "temperature/sensor 2".
 * Metrics hold no stroke; places may.
 */
export function formatFigureName({ metric, place = '' }: Partial<FigureName>): string {
  return place === '' ? (metric ?? '') : `${metric}/${place}`;
}

/** The figure that such a text names; any text names one, though perhaps none that there is. */
export function parseFigureName(text: string): FigureName {
  const stroke = text.indexOf('/');
  if (stroke < 0) return { metric: text.trim(), place: '' };
  return { metric: text.slice(0, stroke).trim(), place: text.slice(stroke + 1).trim() };
}
