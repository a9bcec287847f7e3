/** Text for a terminal: tables of at most 100 columns, wrapped sentences, figures in the reader's units. */
import { fromSi, nearestName, type Unit } from '../physics/index.ts';

export const WIDTH = 100;

export const UNIT_SYSTEMS = ['metric', 'us'] as const;
export type UnitSystem = (typeof UNIT_SYSTEMS)[number];

/** Kinds of figures that are shown, with the unit and decimals of each system. */
const SHOWN = {
  pressure: { metric: ['kPa', 'kPa', 0], us: ['psi', 'psi', 1] },
  temperature: { metric: ['degC', '°C', 0], us: ['degF', '°F', 0] },
  airFlow: { metric: ['g/s', 'g/s', 0], us: ['lb/min', 'lb/min', 1] },
  power: { metric: ['kW', 'kW', 0], us: ['hp', 'hp', 0] },
  torque: { metric: ['N m', 'N m', 0], us: ['lbf ft', 'lbf ft', 0] },
  share: { metric: ['%', '%', 0], us: ['%', '%', 0] },
  force: { metric: ['N', 'N', 0], us: ['lbf', 'lbf', 0] },
  roadSpeed: { metric: ['km/h', 'km/h', 0], us: ['mph', 'mph', 0] },
  speed: { metric: ['m/s', 'm/s', 1], us: ['mph', 'mph', 0] },
} as const satisfies Record<string, Record<UnitSystem, readonly [Unit, string, number]>>;
export type Kind = keyof typeof SHOWN;

/** The unit's text for a column head. */
export const unitText = (kind: Kind, system: UnitSystem): string => SHOWN[kind][system][1];

/** Thousands apart by a comma from five digits on, as engine speeds are written. */
const grouped = (text: string): string => {
  const [whole = '', decimals] = text.split('.');
  const spaced = whole.replace(/^-?\d{5,}$/, (digits) => digits.replace(/\B(?=(\d{3})+$)/g, ','));
  return decimals === undefined ? spaced : `${spaced}.${decimals}`;
};

/** A plain number with fixed decimals; a dash where there is none. No minus before nought. */
export const figure = (value: number | null | undefined, decimals: number): string => {
  if (value === undefined || value === null || !Number.isFinite(value)) return '-';
  const text = value.toFixed(decimals);
  return grouped(/^-0(\.0*)?$/.test(text) ? text.slice(1) : text);
};

/** An SI value in the reader's unit, without the unit. */
export const shown = (si: number | null | undefined, kind: Kind, system: UnitSystem): string => {
  const [unit, , decimals] = SHOWN[kind][system];
  return figure(si === undefined || si === null ? si : fromSi(si, unit), decimals);
};

/** An SI value in the reader's unit, with it. */
export const shownWithUnit = (si: number | null | undefined, kind: Kind, system: UnitSystem): string => {
  const text = shown(si, kind, system);
  return text === '-' ? text : `${text} ${unitText(kind, system)}`;
};

export interface BandLike {
  readonly p10: number;
  readonly p50: number;
  readonly p90: number;
}

/** "231 (214-248)": the middle and the ends of a band. */
export const bandShown = (band: BandLike | undefined, kind: Kind, system: UnitSystem): string =>
  band === undefined
    ? '-'
    : `${shown(band.p50, kind, system)} (${shown(band.p10, kind, system)}-${shown(band.p90, kind, system)})`;

/** Breaks words into lines of at most `width`, each after the first with an indent; the first keeps its own. */
export const wrap = (text: string, width = WIDTH, indent = ''): string => {
  const own = /^ */.exec(text)?.[0] ?? '';
  const lines: string[] = [];
  let line = '';
  for (const word of text.trim().split(/\s+/)) {
    const start = lines.length === 0 ? own : indent;
    if (line !== '' && start.length + line.length + 1 + word.length > width) {
      lines.push(start + line);
      line = word;
    } else {
      line = line === '' ? word : `${line} ${word}`;
    }
  }
  lines.push((lines.length === 0 ? own : indent) + line);
  return lines.join('\n');
};

/** A table column: numbers line up on the right, words on the left. */
export interface TableColumn {
  readonly head: string;
  readonly words?: boolean;
}

/**
 * Sets rows under heads, two spaces between columns. A table that does not fit in {@link WIDTH} cuts its widest column
 * of words with an ellipsis.
 */
export const table = (columns: readonly TableColumn[], rows: readonly (readonly string[])[]): string => {
  const widths = columns.map(({ head }, index) =>
    Math.max(head.length, ...rows.map((row) => (row[index] ?? '').length)),
  );
  const total = () => widths.reduce((sum, width) => sum + width, 0) + 2 * (widths.length - 1);
  const cut = columns.reduce(
    (widest, { words }, index) =>
      words && (widest < 0 || (widths[index] ?? 0) > (widths[widest] ?? 0)) ? index : widest,
    -1,
  );
  if (cut >= 0 && total() > WIDTH) widths[cut] = Math.max(8, (widths[cut] ?? 0) - (total() - WIDTH));
  const cell = (text: string, index: number): string => {
    const width = widths[index] ?? 0;
    const fits = text.length > width ? `${text.slice(0, Math.max(0, width - 1))}…` : text;
    return columns[index]?.words ? fits.padEnd(width) : fits.padStart(width);
  };
  const line = (cells: readonly string[]) => cells.map(cell).join('  ').trimEnd();
  return [line(columns.map(({ head }) => head)), ...rows.map(line)].join('\n');
};

export { nearestName as nearest };
