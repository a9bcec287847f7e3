import { type ChannelName, firstIndexAtOrAfter, quantileOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { onGrid, writtenCells } from './plateau.ts';
import { finding, inDegC, inGramsPerS, inKmPerH, inKpa, inSeconds, lacking, type Rule } from './rule.ts';
import { equalRuns, extremeIn } from './spans.ts';

/** Sensors whose reading moves by noise alone many times a second while the engine runs. */
const LIVELY: readonly ChannelName[] = [
  'engine-speed',
  'vehicle-speed',
  'wheel-speed-driven',
  'wheel-speed-undriven',
  'satellite-speed',
  'manifold-pressure',
  'compressor-outlet-pressure',
  'exhaust-pressure',
  'air-flow',
  'lambda',
  'oil-pressure',
  'fuel-pressure',
  'shaft-speed',
  'throttle',
];
/** A reading that changes nearly every time needs no witness once it has stood for so many readings. */
const RESTLESS_READINGS = 40;
/** Noise turns round at two changes in three; a smooth signal hardly ever. */
const TURNS_SHARE = 0.4;
/** Temperatures stand still honestly; only a pull they do not notice gives them away. */
const SLOW: readonly ChannelName[] = ['charge-temperature', 'compressor-outlet-temperature', 'exhaust-temperature'];
/** Quantities that rest at their least with the throttle shut. */
const RESTS: ReadonlySet<ChannelName> = new Set([
  'air-flow',
  'manifold-pressure',
  'compressor-outlet-pressure',
  'exhaust-pressure',
]);
const SPEEDS: ReadonlySet<ChannelName> = new Set([
  'vehicle-speed',
  'wheel-speed-driven',
  'wheel-speed-undriven',
  'satellite-speed',
]);

const STUCK_S = 3;
/** So many times longer than the reading usually stands still. */
const TIMES_USUAL = 25;
/** A reading that often stands longer than this says nothing by standing still (coarse or slow). */
const LIVELY_DWELL_S = 0.6;
const SLOW_STUCK_S = 4;
/** The engine must have moved meanwhile: greatest over least engine speed (95th and 5th percentile). */
const ENGINE_MOVED = 1.15;
/** Within this share of a channel's range of its end it may be the end of the sensor, another finding. */
const AT_END_SHARE = 0.03;
/** Flow and pressure hardly move with the throttle shut, whatever the engine does. */
const AT_REST_SHARE = 0.06;
/** Pedal travel that a throttle must follow. */
const PEDAL_MOVED = 0.15;
/** So many times longer than the slow reading ever stood elsewhere. */
const TIMES_LONGEST_SLOW = 3;

interface Stuck {
  readonly startS: number;
  readonly endS: number;
  readonly valueSi: number;
  readonly usualDwellS: number;
}

/** Share of the changes that go the other way than the change before. */
const turnsShare = (cells: ArrayLike<number>): number => {
  let changes = 0;
  let turns = 0;
  let last = 0;
  for (let i = 1; i < cells.length; i++) {
    const change = cells[i]! - cells[i - 1]!;
    if (change === 0) continue;
    changes++;
    if (change * last < 0) turns++;
    last = change;
  }
  return changes > 0 ? turns / changes : 0;
};

const engineMoved = (context: ReviewContext, startS: number, endS: number): boolean => {
  const engine = context.on('engine-speed');
  if (!engine) return false;
  const { from, to } = onGrid(context, { startS, endS });
  const high = quantileOf(engine.subarray(from, to), 0.95);
  const low = quantileOf(engine.subarray(from, to), 0.05);
  return high !== null && low !== null && low > 500 && high / low > ENGINE_MOVED;
};

/** Road speed or throttle moved too far for a standing engine speed. */
const engineShouldMove = (context: ReviewContext, startS: number, endS: number): boolean => {
  const { from, to } = onGrid(context, { startS, endS });
  const within = (name: ChannelName, share: number) => quantileOf(context.on(name)?.subarray(from, to) ?? [], share);
  const throttle = (within('throttle', 0.95) ?? 0) - (within('throttle', 0.05) ?? 0);
  const fast = within('vehicle-speed', 0.95) ?? 0;
  const slow = within('vehicle-speed', 0.05) ?? 0;
  return throttle > 0.3 || (slow > 3 && fast / slow > 1.12);
};

const pedalMoved = (context: ReviewContext, startS: number, endS: number): boolean => {
  const pedal = context.on('pedal');
  if (!pedal) return false;
  const { from, to } = onGrid(context, { startS, endS });
  const within = pedal.subarray(from, to);
  return (quantileOf(within, 0.95) ?? 0) - (quantileOf(within, 0.05) ?? 0) > PEDAL_MOVED;
};

/** Gear changes move the engine at a steady road speed: a speed is only stuck if engine speed kept moving inside one gear. */
const speedShouldMove = (context: ReviewContext, name: ChannelName, startS: number, endS: number): boolean => {
  const { from, to } = onGrid(context, { startS, endS });
  for (const other of SPEEDS) {
    if (other === name) continue;
    const values = context.on(other);
    if (!values) continue;
    const high = quantileOf(values.subarray(from, to), 0.95) ?? 0;
    const low = quantileOf(values.subarray(from, to), 0.05) ?? 0;
    if (high - low > 2) return true;
    return false;
  }
  return context.loads.some((load) => load.startS < endS - 1 && load.endS > startS + 1) || endS - startS > 8;
};

const stuckIn = (context: ReviewContext, name: ChannelName, slow: boolean): Stuck | null => {
  const channel = context.channel(name);
  if (!channel || channel.values.length < 10) return null;
  const { timesS, cells } = writtenCells(context, channel);
  const runs = equalRuns(timesS, cells, Math.max(1, 3.5 / Math.max(channel.rateHz, 0.1)));
  // Most channels never stand so long: nothing more is asked of them.
  const leastS = (slow ? SLOW_STUCK_S : STUCK_S) * context.strictness;
  if (!runs.some((run) => run.endS - run.startS >= leastS)) return null;
  // Lone readings count as dwells of one period.
  const singles = cells.length - runs.reduce((sum, run) => sum + run.to - run.from, 0);
  const period = 1 / Math.max(channel.rateHz, 0.1);
  const dwells = new Float64Array(runs.length + singles).fill(period);
  runs.forEach((run, i) => {
    dwells[i] = run.endS - run.startS + period;
  });
  const usual = quantileOf(dwells, 0.5) ?? period;
  const often = quantileOf(dwells, 0.9) ?? period;
  const top = extremeIn(cells, 'largest')!.value;
  const bottom = extremeIn(cells, 'smallest')!.value;
  const range = top - bottom;
  if (!slow && (dwells.length < 15 || often > Math.max(LIVELY_DWELL_S, 3.5 * period))) return null;
  const candidates = runs
    .filter(
      (run) =>
        run.endS - run.startS >=
        Math.max(slow ? SLOW_STUCK_S : STUCK_S, TIMES_USUAL * (slow ? 0.2 : 1) * usual) * context.strictness,
    )
    .sort((a, b) => b.endS - b.startS - (a.endS - a.startS));
  const restless = usual <= 1.2 * period && often <= 2.5 * period && turnsShare(cells) > TURNS_SHARE;
  for (const run of candidates) {
    const { value, startS, endS } = run;
    const alone = restless && (endS - startS) / period >= RESTLESS_READINGS;
    const atTop = top - value <= AT_END_SHARE * range;
    const atBottom = value - bottom <= (RESTS.has(name) ? AT_REST_SHARE : AT_END_SHARE) * range;
    const si = channel.values[Math.min(channel.values.length - 1, nearestIndex(channel.timesS, startS))]!;
    if (name === 'engine-speed') {
      // A standing engine truly reads nought.
      if (si < 300 || !engineShouldMove(context, startS, endS)) continue;
    } else if (SPEEDS.has(name)) {
      if (si < 3 || !(alone || speedShouldMove(context, name, startS, endS))) continue;
    } else if (name === 'throttle' || name === 'lambda') {
      // Both have ends at which they stand honestly: shut, wide open, out of the sensor's range.
      if (atTop || atBottom || (name === 'lambda' && (si > 1.24 || si < 0.7))) continue;
      // A still foot holds a throttle still: only a pedal that moved says that it should have.
      if (name === 'throttle' && !pedalMoved(context, startS, endS)) continue;
    } else if (!slow && atBottom) {
      // Pressures and flows rest at their least honestly.
      continue;
    } else if (!slow && atTop) {
      // At the top it is a ceiling unless the load went away meanwhile.
      if (context.loads.some((load) => load.startS < endS && load.endS > startS) && !loadLeft(context, startS, endS))
        continue;
    }
    if (slow) {
      const pulled = context.loads.some((load) => Math.min(load.endS, endS) - Math.max(load.startS, startS) > 2.5);
      if (!pulled && !alone) continue;
      // A temperature told in whole degrees stands for seconds at the top of every pull.
      const others = runs.filter((other) => other !== run).map((other) => other.endS - other.startS);
      if (endS - startS < TIMES_LONGEST_SLOW * (quantileOf(others, 0.98) ?? 0)) continue;
    } else if (name !== 'engine-speed' && !alone && !engineMoved(context, startS, endS)) continue;
    return { startS, endS, valueSi: si, usualDwellS: usual };
  }
  return null;
};

const nearestIndex = (timesS: Float64Array, timeS: number): number => {
  const after = firstIndexAtOrAfter(timesS, timeS);
  if (after === 0) return 0;
  return after === timesS.length || timeS - timesS[after - 1]! <= timesS[after]! - timeS ? after - 1 : after;
};

const loadLeft = (context: ReviewContext, startS: number, endS: number): boolean => {
  const throttle = context.on('throttle') ?? context.on('pedal');
  if (!throttle) return false;
  const { from, to } = onGrid(context, { startS, endS });
  return (quantileOf(throttle.subarray(from, to), 0.1) ?? 1) < 0.5;
};

const UNIT: Partial<Record<ChannelName, (valueSi: number) => string>> = {
  lambda: (value) => value.toFixed(2),
  throttle: (value) => `${(100 * value).toFixed(0)} %`,
  'air-flow': (value) => inGramsPerS(value, 1),
  'shaft-speed': (value) => `${value.toFixed(0)} rpm`,
};
const valueText = (name: ChannelName, valueSi: number): string =>
  UNIT[name]?.(valueSi) ??
  (SPEEDS.has(name) ? inKmPerH(valueSi) : name.endsWith('temperature') ? inDegC(valueSi) : inKpa(valueSi));

export const sensorStuck: Rule = {
  id: 'sensor-stuck',
  look(context) {
    if (!context.on('engine-speed')) return lacking('engine-speed');
    const seen = [
      ...LIVELY.map((name) => ({ name, slow: false })),
      ...SLOW.map((name) => ({ name, slow: true })),
    ].flatMap(({ name, slow }) => {
      const stuck = stuckIn(context, name, slow);
      return stuck ? [{ name, stuck }] : [];
    });
    // Several channels standing still together are a logger that stalled, which the clock rule tells.
    return seen
      .filter(
        ({ stuck }) =>
          seen.filter(
            (other) =>
              Math.abs(other.stuck.startS - stuck.startS) < 0.5 && Math.abs(other.stuck.endS - stuck.endS) < 0.5,
          ).length < 3,
      )
      .map(({ name, stuck }) => {
        context.doubt(name);
        const lengthS = stuck.endS - stuck.startS;
        return finding('sensor-stuck', {
          severity: 'fix',
          confidence: Math.min(0.96, 0.7 + 0.04 * (lengthS - STUCK_S)),
          startS: stuck.startS,
          endS: stuck.endS,
          channels: [name, 'engine-speed'],
          numbers: { stuckForS: lengthS, usuallyStandsForS: stuck.usualDwellS, valueSi: stuck.valueSi },
          says: `The ${name.replaceAll('-', ' ')} reading stood at ${valueText(name, stuck.valueSi)} for ${inSeconds(lengthS)} while the engine moved on: the sensor or its signal is frozen.`,
          couldAlsoBe: [
            'a logger that repeats the last value when a message is missing',
            'a broken wire with the input held',
          ],
          next: 'Check plug and wire, then the logger’s message for this channel; findings and power that rest on it are left out.',
          source: 'common practice',
        });
      });
  },
};
