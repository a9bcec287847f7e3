/** A log cut into what the car was doing. */
import { carried, type Demand } from './demand.ts';
import { type GearTrack, gearTrackOf } from './gear-track.ts';
import { type GearModel, gearOfSpan } from './gears.ts';
import { launches } from './launches.ts';
import type { FoundPulls } from './pulls.ts';
import { channelNamed, channelsNamed, firstIndexAtOrAfter, quantileOf, thinned } from './sampling.ts';
import { gearChanges } from './shifts.ts';
import { soundEngineSpeed } from './sound.ts';
import type { Channel, Log, Segment, SegmentKind } from './types.ts';

/** Thermostats of road cars open from 80 degC on; under 70 degC the engine is warming up (common practice, no source). */
const WARM_K = 343.15;
/** No road engine idles under this; turning slower it is being cranked (common practice, no source). */
const CRANK_BELOW_RPM = 450;
export const STANDSTILL_M_PER_S = 0.6;
const COAST_FROM_M_PER_S = 2;
/**
 * Rolling resistance, a slope of some 5 % and drag at 0.0006 v2 slow a car out of gear by less than this, an engine on
 * overrun adds its share; more is the brakes (common practice, no source).
 */
const ROLLS_M_PER_S2 = 0.9;
const OVERRUN_M_PER_S2 = 1;
const DRAG_PER_M = 0.0006;
/** Slowing is taken over so long to either side [s]: the brakes' edge stays sharp. */
const BRAKE_REACH_S = 0.35;
const SLOW_REACH_S = 0.75;
/** A foot comes off within this [s]. */
const FOOT_S = 0.8;
/** The foot counts as off when this share of its demand is left: what an idling throttle may still stand open. */
const FOOT_LEFT = 0.3;

/** Shortest length [s] of each kind; shorter ones are left out. */
const SHORTEST_S: Readonly<Record<SegmentKind, number>> = {
  crank: 0.1,
  idle: 1,
  'warm-up': 5,
  cruise: 3,
  coast: 1,
  launch: 0.5,
  pull: 0,
  shift: 0,
};

type State = 'off' | 'crank' | 'idle' | 'cruise' | 'coast' | 'other';

export interface Signals {
  readonly timesS: Float64Array;
  readonly rpm: Float64Array;
  readonly speed: Float64Array | null;
  readonly demand: Float64Array | null;
}

const signalsOf = (log: Pick<Log, 'channels'>, rpm: Channel, asking: Demand | null): Signals => {
  const speed =
    channelNamed(log, 'vehicle-speed') ??
    channelNamed(log, 'wheel-speed-undriven') ??
    channelNamed(log, 'wheel-speed-driven') ??
    channelNamed(log, 'satellite-speed');
  const asked = channelsNamed(log, 'pedal')[0] ?? channelsNamed(log, 'throttle')[0];
  let demand: Float64Array | null = null;
  if (asked) {
    const low = quantileOf(thinned(asked.values), 0.01) ?? 0;
    const full = asking?.full ?? 1;
    demand = carried(asked, rpm.timesS).map((value) => (value - low) / Math.max(0.3, full - low));
  }
  return { timesS: rpm.timesS, rpm: rpm.values, speed: speed ? carried(speed, rpm.timesS) : null, demand };
};

const stateAt = ({ rpm, speed, demand }: Signals, i: number, idleRpm: number, accelerationMPerS2: number): State => {
  const n = rpm[i]!;
  const v = speed ? speed[i]! : Number.NaN;
  const asked = demand ? demand[i]! : Number.NaN;
  if (n < 30) return 'off';
  if (n < CRANK_BELOW_RPM) return 'crank';
  const stands = Number.isNaN(v) ? n < idleRpm * 1.3 : v < STANDSTILL_M_PER_S;
  if (stands) return n < idleRpm * 1.5 && !(asked > 0.25) ? 'idle' : 'other';
  if (asked < 0.04 && v > COAST_FROM_M_PER_S) return 'coast';
  if (asked > 0.03 && asked < 0.75 && Math.abs(accelerationMPerS2) < 0.45 && v > 5) return 'cruise';
  return 'other';
};

/** Acceleration [m/s2] over `reachS` to either side of each time; zero where speed is missing. */
const accelerations = ({ timesS, speed }: Signals, reachS: number): Float64Array => {
  const out = new Float64Array(timesS.length);
  if (!speed) return out;
  let from = 0;
  let to = 0;
  for (let i = 0; i < timesS.length; i++) {
    while (timesS[i]! - timesS[from]! > reachS) from++;
    while (to + 1 < timesS.length && timesS[to]! - timesS[i]! < reachS) to++;
    const spanS = timesS[to]! - timesS[from]!;
    const change = speed[to]! - speed[from]!;
    if (spanS > 0.3 && spanS < 5 && !Number.isNaN(change)) out[i] = change / spanS;
  }
  return out;
};

const runsOf = (
  timesS: Float64Array,
  states: readonly State[],
): { readonly state: State; readonly startS: number; readonly endS: number }[] => {
  const runs: { state: State; startS: number; endS: number }[] = [];
  for (let i = 0; i < states.length; i++) {
    const last = runs[runs.length - 1];
    const state = states[i]!;
    const now = timesS[i]!;
    if (last && last.state === state && now - last.endS < 3) last.endS = now;
    else runs.push({ state, startS: now, endS: now });
  }
  // A flicker of less than a third of a second does not cut a segment in two.
  const merged: typeof runs = [];
  for (const run of runs) {
    const [before, blip] = [merged[merged.length - 2], merged[merged.length - 1]];
    if (
      before &&
      blip &&
      before.state === run.state &&
      blip.endS - blip.startS < 0.35 &&
      run.startS - before.endS < 1
    ) {
      before.endS = run.endS;
      merged.pop();
    } else merged.push({ ...run });
  }
  return merged;
};

const warmUps = (log: Pick<Log, 'channels'>, rpm: Channel): Segment[] => {
  const coolant = channelNamed(log, 'coolant-temperature');
  if (!coolant) return [];
  const out: { kind: 'warm-up'; startS: number; endS: number }[] = [];
  const temperature = carried(coolant, rpm.timesS);
  let lastK = Number.NaN;
  let open: { kind: 'warm-up'; startS: number; endS: number } | null = null;
  for (let i = 0; i < rpm.timesS.length; i++) {
    if (!Number.isNaN(temperature[i]!)) lastK = temperature[i]!;
    const now = rpm.timesS[i]!;
    if (rpm.values[i]! >= CRANK_BELOW_RPM && lastK < WARM_K) {
      if (open && now - open.endS < 5) open.endS = now;
      else {
        open = { kind: 'warm-up', startS: now, endS: now };
        out.push(open);
      }
    } else if (lastK >= WARM_K + 1) open = null;
  }
  return out;
};

/** Where the brakes are on: slower than rolling and overrun explain. */
const brakesOf = (signals: Signals, track: GearTrack | null, idleRpm: number): Uint8Array => {
  const { timesS, speed, rpm } = signals;
  const out = new Uint8Array(timesS.length);
  if (!speed) return out;
  const acceleration = accelerations(signals, BRAKE_REACH_S);
  for (let i = 0; i < out.length; i++) {
    const inGear = track ? track.gears[i]! > 0 : rpm[i]! > 1.3 * idleRpm;
    const rolls = ROLLS_M_PER_S2 + DRAG_PER_M * speed[i]! ** 2 + (inGear ? OVERRUN_M_PER_S2 : 0);
    if (acceleration[i]! < -rolls) out[i] = 1;
  }
  return out;
};

/** When the foot came off before a coast that was seen from `startS` on: a throttle closes the last of its way slowly. */
const footOffS = ({ timesS, demand }: Signals, startS: number): number => {
  if (!demand) return startS;
  const at = firstIndexAtOrAfter(timesS, startS);
  let first = at;
  while (first > 0 && timesS[at]! - timesS[first - 1]! <= FOOT_S) first--;
  let level = 0;
  for (let i = first; i <= at; i++) level = Math.max(level, demand[i]!);
  for (let i = at; i > first; i--)
    if (demand[i - 1]! > FOOT_LEFT * level && demand[i]! <= FOOT_LEFT * level) return timesS[i]!;
  return startS;
};

/** The gear that most of a span is driven in, or null where it is out of gear. */
const heldGear = ({ timesS, gears }: GearTrack, startS: number, endS: number): number | null => {
  const counts = new Map<number, number>();
  const from = firstIndexAtOrAfter(timesS, startS);
  let to = from;
  for (; to < timesS.length && timesS[to]! <= endS; to++) counts.set(gears[to]!, (counts.get(gears[to]!) ?? 0) + 1);
  const [gear, times] = [...counts].sort((a, b) => b[1] - a[1])[0] ?? [0, 0];
  return gear > 0 && times > 0.6 * (to - from) ? gear : null;
};

/** Segments in order of time. Pulls and their shifts go before what they cover; warm-up lies over the others. */
export const findSegments = (
  log: Pick<Log, 'channels'>,
  model: GearModel,
  { pulls, stretches, demand }: FoundPulls,
): Segment[] => {
  const logged = channelNamed(log, 'engine-speed');
  if (!logged) return [];
  const rpm = soundEngineSpeed(logged);
  const signals = signalsOf(log, rpm, demand);
  const acceleration = accelerations(signals, SLOW_REACH_S);
  const running = rpm.values.filter((value) => value > CRANK_BELOW_RPM);
  const idleRpm = Math.min(1100, Math.max(600, quantileOf(thinned(running), 0.02) ?? 800));
  const track = gearTrackOf(
    rpm,
    model,
    idleRpm,
    pulls.flatMap(({ parts }) => parts),
  );
  const brakes = brakesOf(signals, track, idleRpm);
  const states: State[] = [];
  for (let i = 0; i < rpm.timesS.length; i++) {
    const state = stateAt(signals, i, idleRpm, acceleration[i]!);
    states.push(state === 'coast' && brakes[i] ? 'other' : state);
  }
  const out: Segment[] = [];
  for (const { state, startS, endS } of runsOf(rpm.timesS, states)) {
    if (state === 'off' || state === 'other' || endS - startS < SHORTEST_S[state]) continue;
    if (pulls.some((pull) => startS < pull.endS && endS > pull.startS)) continue;
    const moves = state === 'cruise' || state === 'coast';
    const gear = moves ? (track ? heldGear(track, startS, endS) : gearOfSpan(model, rpm, startS, endS)) : null;
    const fromS = state === 'coast' ? footOffS(signals, startS) : startS;
    out.push({ kind: state, startS: fromS, endS, ...(gear === null ? {} : { gear }) });
  }
  for (const { startS, endS } of warmUps(log, rpm))
    if (endS - startS >= SHORTEST_S['warm-up']) out.push({ kind: 'warm-up', startS, endS });
  out.push(...launches(signals, stretches, model.ratios[0] ?? null));
  for (const pull of pulls) {
    const gear = pull.gears[0];
    out.push({
      kind: 'pull',
      startS: pull.startS,
      endS: pull.endS,
      ...(pull.gears.length === 1 && gear !== undefined ? { gear } : {}),
    });
    pull.shiftsS.forEach((startS, i) => {
      const next = pull.parts[i + 1]!;
      out.push({ kind: 'shift', startS, endS: next.startS, ...(next.gear === null ? {} : { gear: next.gear }) });
    });
  }
  if (track) {
    for (const { startS, endS, to } of gearChanges(track, signals.demand)) {
      // Inside a pull its own shifts stand: slip of a clutch passes through other gears' ratios.
      const told = pulls.some((pull) => startS > pull.startS && endS < pull.endS);
      if (!told) out.push({ kind: 'shift', startS, endS, gear: to });
    }
  }
  return out.sort((a, b) => a.startS - b.startS || a.endS - b.endS);
};
