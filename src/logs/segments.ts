/** A log cut into what the car was doing. */
import { carried, type Demand, type FullStretch } from './demand.ts';
import { type GearModel, gearOfSpan } from './gears.ts';
import type { FoundPulls } from './pulls.ts';
import { channelNamed, channelsNamed, quantileOf, thinned } from './sampling.ts';
import { soundEngineSpeed } from './sound.ts';
import type { Channel, Log, Segment, SegmentKind } from './types.ts';

/** Thermostats of road cars open from 80 degC on; under 70 degC the engine is warming up (common practice, no source). */
const WARM_K = 343.15;
/** No road engine idles under this; turning slower it is being cranked (common practice, no source). */
const CRANK_BELOW_RPM = 450;
const STANDSTILL_M_PER_S = 0.6;

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

interface Signals {
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
  if (asked < 0.04 && n > idleRpm * 1.15) return 'coast';
  if (asked > 0.03 && asked < 0.75 && Math.abs(accelerationMPerS2) < 0.45 && v > 5) return 'cruise';
  return 'other';
};

/** Acceleration [m/s2] over a second or so around each time; zero where speed is missing. */
const accelerations = ({ timesS, speed }: Signals): Float64Array => {
  const out = new Float64Array(timesS.length);
  if (!speed) return out;
  let from = 0;
  let to = 0;
  for (let i = 0; i < timesS.length; i++) {
    while (timesS[i]! - timesS[from]! > 0.75) from++;
    while (to + 1 < timesS.length && timesS[to]! - timesS[i]! < 0.75) to++;
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

/** From standstill to 12 m/s or the first lift, where the car left under more than half of full demand and reached 5 m/s. */
const launches = (signals: Signals, stretches: readonly FullStretch[]): Segment[] => {
  const { timesS, speed, demand, rpm } = signals;
  if (!speed) return [];
  const out: Segment[] = [];
  for (let i = 1; i < timesS.length; i++) {
    if (!(speed[i - 1]! < STANDSTILL_M_PER_S && speed[i]! >= STANDSTILL_M_PER_S)) continue;
    let end = i;
    let peak = 0;
    while (
      end + 1 < timesS.length &&
      timesS[end]! - timesS[i]! < 8 &&
      speed[end]! < 12 &&
      speed[end]! >= STANDSTILL_M_PER_S
    ) {
      const asked = demand ? demand[end]! : Number.NaN;
      peak = Math.max(peak, asked || 0);
      if (peak > 0.55 && asked < 0.3) break;
      end++;
    }
    const hard = stretches.some(({ startS, endS }) => startS < timesS[end]! && endS > timesS[i]! - 1) || peak > 0.55;
    if (!hard || !(speed[end]! > 5) || timesS[end]! - timesS[i]! > 6) continue;
    // The clutch comes in before the wheel sensor counts: the launch starts where the foot went down.
    let start = i;
    while (
      start > 0 &&
      timesS[i]! - timesS[start - 1]! < 1 &&
      (demand ? demand[start - 1]! > 0.3 : rpm[start - 1]! > 1500)
    )
      start--;
    out.push({ kind: 'launch', startS: timesS[start]!, endS: timesS[end]!, gear: 1 });
    i = end;
  }
  return out;
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
  const acceleration = accelerations(signals);
  const running = rpm.values.filter((value) => value > CRANK_BELOW_RPM);
  const idleRpm = Math.min(1100, Math.max(600, quantileOf(thinned(running), 0.02) ?? 800));
  const states: State[] = [];
  for (let i = 0; i < rpm.timesS.length; i++) states.push(stateAt(signals, i, idleRpm, acceleration[i]!));
  const out: Segment[] = [];
  for (const { state, startS, endS } of runsOf(rpm.timesS, states)) {
    if (state === 'off' || state === 'other' || endS - startS < SHORTEST_S[state]) continue;
    if (pulls.some((pull) => startS < pull.endS && endS > pull.startS)) continue;
    const gear = state === 'cruise' || state === 'coast' ? gearOfSpan(model, rpm, startS, endS) : null;
    out.push({ kind: state, startS, endS, ...(gear === null ? {} : { gear }) });
  }
  for (const { startS, endS } of warmUps(log, rpm))
    if (endS - startS >= SHORTEST_S['warm-up']) out.push({ kind: 'warm-up', startS, endS });
  out.push(...launches(signals, stretches));
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
  return out.sort((a, b) => a.startS - b.startS || a.endS - b.endS);
};
