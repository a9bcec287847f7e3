/** Ways of writing a log as text, drawn at random, and a known table to write in them. For tests only. */

/** A seeded generator of 0 <= x < 1 (mulberry32, public domain). */
export const randomOf = (seed: number): (() => number) => {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
};

const ROWS = 210;
/** Row at which the clock does what its style says; 5.25 s in. */
export const CLOCK_ROW = 105;
const column = (name: string, unit: string, decimals: number, value: (row: number) => number) => ({
  name,
  unit,
  decimals,
  values: Array.from({ length: ROWS }, (_, row) => Number(value(row).toFixed(decimals))),
});

/** What is written: a row for each time; a number that is none is a blank cell. */
export interface WrittenTable {
  readonly timeS: ArrayLike<number>;
  readonly columns: readonly {
    readonly name: string;
    readonly unit: string;
    readonly decimals: number;
    readonly values: ArrayLike<number>;
  }[];
}

/** Rows a twentieth of a second apart; numbers with the decimals that each column is written in. */
export const TABLE = {
  timeS: Array.from({ length: ROWS }, (_, row) => row / 20),
  columns: [
    column('Engine Speed', '1/min', 0, (row) => 1850 + 41 * row),
    column('Manifold Pressure', 'kPa', 1, (row) => 32 + 2.3 * row),
    column('Coolant Temp', '°C', 0, (row) => 84 + (row % 7)),
    column('Vehicle Speed', 'km/h', 2, (row) => 40 + 0.731 * row),
    column('Throttle', '%', 1, (row) => (row * 3.7) % 100),
    column('Ignition Advance', 'deg', 2, (row) => 12 - 0.25 * row),
    column('Oil Pressure', 'bar', 3, (row) => 1.2 + 0.031 * row),
  ],
} as const;

const pick = <T>(random: () => number, choices: readonly T[]): T => choices[Math.floor(random() * choices.length)]!;

export interface Style {
  readonly separator: ',' | ';' | '\t' | '|';
  readonly decimal: '.' | ',';
  readonly encoding: 'utf-8' | 'utf-8 mark' | 'utf-16le' | 'utf-16le mark' | 'utf-16be' | 'utf-16be mark' | 'latin-1';
  readonly lineEnd: '\n' | '\r\n' | '\r';
  readonly quotes: 'none' | 'names' | 'all';
  readonly comments: '' | '# ' | '// ' | '; ' | '% ';
  readonly titleLines: number;
  readonly names: 'plain' | 'commented' | 'group line above';
  readonly units: 'none' | '[]' | '()' | 'row' | 'row above' | 'cells';
  readonly time: 's' | 'ms' | 'clock' | 'date and clock' | 'none';
  readonly trailing: 'none' | 'rows' | 'all';
  readonly padded: boolean;
  readonly blanks: boolean;
  readonly blankLines: boolean;
  readonly headerAgain: boolean;
  readonly commentAgain: boolean;
  readonly cutLastLine: boolean;
  readonly grouped: boolean;
  readonly plusSigns: boolean;
  /** Slower channels: repeated for five rows, or one channel fresh a row and the others repeated. */
  readonly held: 'none' | 'staircase' | 'one a row';
  /** Every number rounded to a whole one. */
  readonly whole: boolean;
  /** At {@link CLOCK_ROW}: time passes unlogged, the clock is set back, or another run begins with or without a header. */
  readonly clock: 'even' | 'gap' | 'set back' | 'anew' | 'anew with header';
}

/** Draws a style; combinations that say nothing sensible (a decimal comma between bare commas) are put right. */
export const styleOf = (random: () => number): Style => {
  const separator = pick(random, [',', ';', '\t', '|'] as const);
  const decimal = pick(random, ['.', '.', ','] as const);
  const quotes = pick(random, ['none', 'none', 'names', 'all'] as const);
  const comments = pick(random, ['', '# ', '// ', '; ', '% '] as const);
  const units = pick(random, ['none', '[]', '()', 'row', 'row above', 'cells'] as const);
  const clash = separator === ',' && decimal === ',' && quotes !== 'all';
  const drawn = {
    separator,
    decimal: clash ? '.' : decimal,
    encoding: pick(random, [
      'utf-8',
      'utf-8 mark',
      'utf-16le',
      'utf-16le mark',
      'utf-16be',
      'utf-16be mark',
      'latin-1',
    ] as const),
    lineEnd: pick(random, ['\n', '\r\n', '\r'] as const),
    quotes,
    // A semicolon cannot both part the fields and begin a comment that has some.
    comments: comments === '; ' && separator === ';' ? '# ' : comments,
    titleLines: Math.floor(random() * 3),
    names: pick(random, ['plain', 'plain', 'commented', 'group line above'] as const),
    units,
    time: pick(random, ['s', 's', 'ms', 'clock', 'date and clock', 'none'] as const),
    trailing: pick(random, ['none', 'none', 'rows', 'all'] as const),
    padded: random() < 0.2,
    blanks: random() < 0.3,
    blankLines: random() < 0.15,
    headerAgain: random() < 0.25,
    commentAgain: random() < 0.25,
    cutLastLine: random() < 0.25,
    grouped: random() < 0.15,
    plusSigns: random() < 0.1,
  };
  const later = laterStyles(random, drawn.time);
  // Of whole numbers in groups ("1.850") nothing tells the group's mark from a decimal one.
  return { ...drawn, ...later, grouped: drawn.grouped && !later.whole };
};

/** Drawn last, so that the seeds of the other styles stay what they were. */
const laterStyles = (random: () => number, time: Style['time']): Pick<Style, 'held' | 'whole' | 'clock'> => {
  const held = pick(random, ['none', 'none', 'staircase', 'one a row'] as const);
  const whole = random() < 0.15;
  const clock = pick(random, ['even', 'even', 'gap', 'set back', 'anew', 'anew with header'] as const);
  // Without a clock nothing can be told of it.
  return { held, whole, clock: time === 'none' ? 'even' : clock };
};

const encoded = (text: string, encoding: Style['encoding']): Uint8Array => {
  const mark = encoding.endsWith(' mark') ? '\ufeff' : '';
  if (encoding.startsWith('utf-8')) return new TextEncoder().encode(mark + text);
  if (encoding === 'latin-1') return Uint8Array.from(text, (character) => character.charCodeAt(0));
  const little = encoding.startsWith('utf-16le');
  const whole = mark + text;
  const bytes = new Uint8Array(2 * whole.length);
  for (let i = 0; i < whole.length; i++) {
    const unit = whole.charCodeAt(i);
    bytes[2 * i + (little ? 0 : 1)] = unit & 0xff;
    bytes[2 * i + (little ? 1 : 0)] = unit >> 8;
  }
  return bytes;
};

export interface Rendered {
  readonly text: string;
  readonly bytes: Uint8Array;
  /** Rows that can be read whole. */
  readonly rows: number;
  readonly isBlank: (name: string, row: number) => boolean;
  /** The number that stands in a cell: rounded and held as the style says. */
  readonly valueAt: (name: string, row: number) => number;
  /** Clock of a row as it is written [s]. */
  readonly writtenS: (row: number) => number;
  /** Lines that must be told as not read, in order. */
  readonly refusedLines: readonly number[];
}

const two = (value: number): string => String(Math.floor(value)).padStart(2, '0');

/** Writes a table in a style. */
export const renderedIn = (style: Style, random: () => number, table: WrittenTable = TABLE): Rendered => {
  const { separator, decimal, lineEnd } = style;
  const rowCount = table.timeS.length;
  const hasTime = style.time !== 'none';
  const isNameQuoted = style.quotes !== 'none';
  const quoted = (text: string, on: boolean): string => (on ? `"${text.replaceAll('"', '""')}"` : text);
  const padded = (text: string): string => (style.padded ? ` ${text}  ` : text);
  const lineOf = (cells: readonly string[], isRow: boolean): string =>
    cells.join(separator) + (style.trailing === 'all' || (style.trailing === 'rows' && isRow) ? separator : '');
  const number = (value: number, decimals: number): string => {
    let text = value.toFixed(decimals);
    if (style.grouped && Math.abs(value) >= 1000) {
      const group = decimal === ',' ? '.' : ',';
      // A grouping comma between bare commas would be another field.
      if (group !== separator || style.quotes === 'all') {
        const [whole = '', part] = text.split('.');
        const grouped = whole.replace(/\B(?=(\d{3})+$)/g, group);
        return part === undefined ? grouped : `${grouped}${decimal}${part}`;
      }
    }
    if (style.plusSigns && value > 0) text = `+${text}`;
    return text.replace('.', decimal);
  };
  const timeOf = (seconds: number): string => {
    if (style.time === 's') return seconds.toFixed(3).replace('.', decimal);
    if (style.time === 'ms') return (1000 * seconds).toFixed(0);
    // The fraction of a clock time is parted by a point: a comma would be read by few.
    const ms = Math.round(1000 * seconds);
    const clock = `10:${two(ms / 60_000)}:${two((ms / 1000) % 60)}.${String(ms % 1000).padStart(3, '0')}`;
    return style.time === 'clock' ? clock : `2031-01-26 ${clock}`;
  };
  const timeUnit = style.time === 's' ? 's' : style.time === 'ms' ? 'ms' : '';
  const bracketed = (name: string, unit: string): string =>
    unit === '' || (style.units !== '[]' && style.units !== '()')
      ? name
      : `${name} ${style.units[0]}${unit}${style.units[1]}`;
  const names = [
    ...(hasTime ? [bracketed('Time', timeUnit)] : []),
    ...table.columns.map(({ name, unit }) => bracketed(name, unit)),
  ];
  const units = [...(hasTime ? [timeUnit] : []), ...table.columns.map(({ unit }) => unit)];
  const blanks = new Set<string>();
  table.columns.forEach(({ name }, i) => {
    // Slower channels have a cell on every third or fifth row only; the first column always has one.
    const every = style.blanks && i > 0 ? 1 + 2 * Math.floor(random() * 3) : 1;
    for (let row = 0; row < rowCount; row++) if (row % every !== 0) blanks.add(`${name} ${row}`);
  });
  const isBlank = (name: string, row: number): boolean => blanks.has(`${name} ${row}`);
  // Slower channels have a new number every fifth row, or in turn.
  const freshRow = (column: number, row: number): number =>
    style.held === 'staircase' && column > 0
      ? row - (row % 5)
      : style.held === 'one a row'
        ? Math.max(0, row - ((row - column + 7 * table.columns.length) % table.columns.length))
        : row;
  const shown = table.columns.map(({ values, decimals }, column) =>
    Array.from(values, (_, row) => {
      const value = values[freshRow(column, row)]!;
      return style.whole ? Math.round(value) : Number(value.toFixed(decimals));
    }),
  );
  const columnOf = new Map<string, number>(table.columns.map(({ name }, column) => [name, column]));
  const valueAt = (name: string, row: number): number => shown[columnOf.get(name)!]![row]!;
  const isAnew = style.clock === 'anew' || style.clock === 'anew with header';
  const writtenS = (row: number): number => {
    if (row < CLOCK_ROW) return table.timeS[row]!;
    if (isAnew) return table.timeS[row - CLOCK_ROW]!;
    return table.timeS[row]! + (style.clock === 'gap' ? 40 : style.clock === 'set back' ? -3 : 0);
  };
  const rowOf = (row: number): string =>
    lineOf(
      [
        ...(hasTime ? [padded(quoted(timeOf(writtenS(row)), style.quotes === 'all'))] : []),
        ...table.columns.map(({ name, unit, decimals }) => {
          if (isBlank(name, row) || Number.isNaN(valueAt(name, row))) return '';
          const text =
            number(valueAt(name, row), style.whole ? 0 : decimals) + (style.units === 'cells' ? ` ${unit}` : '');
          return padded(quoted(text, style.quotes === 'all'));
        }),
      ],
      true,
    );

  const lines: string[] = [];
  for (let i = 0; i < style.titleLines; i++)
    lines.push(`${style.comments}${pick(random, ['Log of a run', 'Road dry', 'Tank half full'])} ${i + 1}`);
  if (style.names === 'group line above') {
    lines.push(
      lineOf(
        names.map((_, i) => quoted(i % 3 === 0 ? 'Engine' : '', isNameQuoted)),
        false,
      ),
    );
  }
  const nameLine = lineOf(
    names.map((name) => quoted(name, isNameQuoted)),
    false,
  );
  const unitLine = lineOf(
    units.map((unit) => quoted(unit, isNameQuoted)),
    false,
  );
  const head: string[] = [];
  if (style.units === 'row above') head.push(unitLine);
  head.push(
    style.names === 'commented' && style.comments !== '' && !isNameQuoted ? `${style.comments}${nameLine}` : nameLine,
  );
  if (style.units === 'row') head.push(unitLine);
  lines.push(...head);
  const refusedLines: number[] = [];
  for (let row = 0; row < rowCount; row++) {
    if ((style.headerAgain && row === 50) || (style.clock === 'anew with header' && row === CLOCK_ROW)) {
      for (const line of head) {
        lines.push(line);
        refusedLines.push(lines.length);
      }
    }
    if (style.commentAgain && row === 70) {
      lines.push('# gear changed');
      refusedLines.push(lines.length);
    }
    if (style.blankLines && row === 30) lines.push('');
    lines.push(rowOf(row));
  }
  let text = lines.join(lineEnd) + lineEnd;
  let rows = rowCount;
  if (style.cutLastLine) {
    // Cut within the last but one cell, so that fields are missing for certain.
    const last = lines[lines.length - 1]!;
    const cells = last.split(separator);
    text = text.slice(0, text.length - lineEnd.length - last.length) + cells.slice(0, 3).join(separator);
    rows = rowCount - 1;
    refusedLines.push(lines.length);
  }
  return { text, bytes: encoded(text, style.encoding), rows, isBlank, valueAt, writtenS, refusedLines };
};
