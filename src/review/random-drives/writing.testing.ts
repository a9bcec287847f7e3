/** Readings to a file: names and units drawn, rows at the logger's beat, blank, held or polled, in a random style of text. */
import type { ChannelName } from '../../logs/index.ts';
import { renderedIn, type Style, styleOf, type WrittenTable } from '../../logs/text-styles.fixture.ts';
import type { Chance } from './chance.testing.ts';
import { AFR, AFR_NAMES, COLUMNS, GAUGE_COLUMNS, type Unit } from './columns.testing.ts';
import type { Fault } from './faults.testing.ts';
import type { Read, SensorPlan } from './sensors.testing.ts';

export interface WrittenColumn {
  readonly channel: ChannelName;
  readonly name: string;
  readonly unit: Unit;
  readonly read: Read;
}

export interface Written {
  readonly bytes: Uint8Array;
  readonly text: string;
  readonly columns: readonly WrittenColumn[];
  readonly style: Style;
  /** Log time of a true time [s]. */
  readonly logS: (trueS: number) => number;
  /** A clock step lies here [true seconds]. */
  readonly steppedAtS: number | null;
  /** Clock of the first row as written [s]. */
  readonly firstS: number;
  readonly slower: 'blank' | 'held' | 'polled';
  readonly rateHz: number;
}

export const drawPlan = (fault: Fault | null, fromS: number, lengthS: number, chance: Chance): SensorPlan => {
  // What a fault can only be seen in quickly is logged quickly enough.
  const least =
    fault?.id === 'compressor-surge' || fault?.id === 'misfire'
      ? 25
      : fault?.id === 'boost-overshoot' || fault?.id === 'sensor-spikes'
        ? 10
        : 4;
  const fastestHz = chance.pick([4, 5, 8, 10, 10, 12.5, 20, 20, 20, 25, 40, 50, 100].filter((rate) => rate >= least));
  const jitterS = chance.is(0.4) ? Math.min(0.003, 0.06 / fastestHz) : 0;
  return {
    fastestHz,
    isPolled: fault === null && fastestHz <= 20 && chance.is(0.07),
    rowsS: Array.from(
      { length: Math.floor((lengthS - fromS) * fastestHz) },
      (_, k) => fromS + k / fastestHz + chance.bell(jitterS),
    ),
  };
};

export const written = (
  reads: readonly Read[],
  plan: SensorPlan,
  outsidePa: number,
  fault: Fault | null,
  chance: Chance,
): Written => {
  const drawn = styleOf(chance.next);
  const style: Style = {
    ...drawn,
    held: 'none',
    whole: false,
    clock: 'even',
    // Greek letters are none of Latin-1.
    encoding:
      drawn.encoding === 'latin-1' && reads.some(({ channel }) => channel === 'lambda') ? 'utf-8' : drawn.encoding,
    blanks: false,
    time: chance.pick(['s', 's', 'ms', 'clock', 'date and clock']),
  };
  const american = chance.is(0.3);
  const gauge = chance.is(american ? 0.6 : 0.25);
  // A logger has its habits; where it writes no units it has nothing else.
  const isStrict = style.units === 'none' || chance.is(0.6);
  const pressures = chance.pick([/^kPa/, /^kPa/, /^bar/, /^(mbar|hPa)/]);
  const senders = String(pressures).includes('mbar') ? /^bar/ : pressures;
  const metresPerS = chance.is(0.06);
  const likes = (units: readonly Unit[], channel: ChannelName): Unit => {
    const isUs = ({ text }: Unit): boolean => /psi|F$|mph|lb/.test(text);
    const ofSystem = units.filter((one) => isUs(one) === american);
    const isSender = channel === 'oil-pressure' || channel === 'fuel-pressure';
    const habit = american
      ? ofSystem
      : ofSystem.filter(({ text }) =>
          /^(kPa|bar|mbar|hPa)/.test(text) ? (isSender ? senders : pressures).test(text) : text !== 'm/s' || metresPerS,
        );
    const liked = isStrict ? habit : ofSystem;
    return chance.pick(
      liked.length > 0 && (isStrict || chance.is(0.9)) ? liked : ofSystem.length > 0 ? ofSystem : units,
    );
  };
  const used = new Set<string>();
  const columns = reads.map((read): WrittenColumn => {
    const kind = (gauge ? GAUGE_COLUMNS[read.channel] : undefined) ?? COLUMNS[read.channel]!;
    let name = chance.pick(kind.names);
    let unit = likes(kind.units, read.channel);
    if ((read.channel === 'lambda' || read.channel === 'lambda-target') && american && chance.is(0.7)) {
      name = read.channel === 'lambda' ? chance.pick(AFR_NAMES) : 'Target AFR';
      unit = AFR;
    }
    while (used.has(name)) name = `${name} 2`;
    used.add(name);
    return { channel: read.channel, name, unit, read };
  });
  // Columns stand in any order.
  const order = columns.map((column) => ({ column, at: chance.next() })).sort((a, b) => a.at - b.at);
  const inOrder = order.map(({ column }) => column);
  const slower = plan.isPolled ? 'polled' : chance.pick(['blank', 'held'] as const);
  const fastest = plan.fastestHz;
  const startS = plan.rowsS[0]!;
  let rows = [...plan.rowsS];
  let steppedAtS: number | null = null;
  let logOf = (trueS: number) => trueS - startS;
  const startClockS = chance.is(0.5) ? 0 : chance.between(20, 2000);
  const base = logOf;
  logOf = (trueS) => base(trueS) + startClockS;
  let rowTimes: number[];
  if (fault?.id === 'clock-fault') {
    const middle = rows.length * (0.3 + 0.4 * fault.draw);
    const how = Math.floor(fault.draw * 3.999);
    if (how === 0) {
      const lost = Math.max(4, Math.round((0.8 + 2 * fault.size) * fastest));
      const at = Math.round(middle);
      rows = rows.filter((_, k) => !(k >= at && k < at + lost) && !(k >= at + 4 * lost && k < at + 5 * lost));
      rowTimes = rows.map(logOf);
    } else if (how === 1) {
      const kept = rows.map(logOf);
      rowTimes = kept.map((time, k) => (k > 0 && chance.is(0.02 + 0.03 * fault.size) ? kept[k - 1]! : time));
    } else {
      steppedAtS = rows[Math.round(middle)]!;
      const by = how === 2 ? -(2 + 6 * fault.size) : 20 + 40 * fault.size;
      const at = steppedAtS;
      const plain = logOf;
      logOf = (trueS) => plain(trueS) + (trueS >= at ? by : 0);
      rowTimes = rows.map(logOf);
    }
  } else rowTimes = rows.map(logOf);
  const places = inOrder.map(() => 0);
  const cells = inOrder.map(() => new Float64Array(rows.length).fill(Number.NaN));
  rows.forEach((trueS, row) => {
    inOrder.forEach((column, c) => {
      const { timesS, values } = column.read;
      const before = places[c]!;
      // In a polled log one channel is fresh a row.
      const isTurn = slower !== 'polled' || row === 0 || row % inOrder.length === c;
      let at = before;
      if (isTurn) while (at + 1 < timesS.length && timesS[at + 1]! <= trueS + 1e-6) at++;
      const isFresh = row === 0 || (isTurn && at !== before);
      places[c] = at;
      if (isFresh) cells[c]![row] = column.unit.from(values[at]!, outsidePa);
      else if (slower !== 'blank') cells[c]![row] = cells[c]![row - 1]!;
    });
  });
  const table: WrittenTable = {
    timeS: rowTimes,
    columns: inOrder.map(({ name, unit }, c) => ({
      name,
      unit: unit.text,
      decimals: unit.decimals,
      values: cells[c]!,
    })),
  };
  const { bytes, text } = renderedIn(style, chance.next, table);
  return {
    bytes,
    text,
    columns: inOrder,
    style,
    firstS: rowTimes[0]!,
    logS: logOf,
    steppedAtS,
    slower,

    rateHz: slower === 'polled' ? fastest / inOrder.length : fastest,
  };
};
