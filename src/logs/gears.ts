/** Gears from engine speed over road speed: clusters, their names, and the gear of a stretch. */
import { carried } from './demand.ts';
import { channelNamed, firstIndexAtOrAfter, medianOf, quantileOf, sliceOf, thinned } from './sampling.ts';
import { soundEngineSpeed } from './sound.ts';
import type { Channel, GearCluster, KnownGearing, Log } from './types.ts';

/** Engine rpm per km/h of first to seventh gear in usual road cars; common practice, no source: serves only where the build names no gears. */
const USUAL_RPM_PER_KMH = [120, 66, 43.5, 32.5, 26, 21.5, 18];

const KMH_PER_M_PER_S = 3.6;

export interface GearModel {
  readonly clusters: readonly GearCluster[];
  /** Ratios [rpm per m/s] by gear, first gear first, as the log's own speed shows them; empty when nothing is known. */
  readonly ratios: readonly number[];
  /** True when the ratios come from the build, false when from usual road cars. */
  readonly known: boolean;
  /** Logged speed is this many times what the build's gearing says; 1 when unknown. */
  readonly speedFactor: number;
  readonly speed: Channel | null;
  /** All speeds that can stand in for it, itself first. */
  readonly speeds: readonly Channel[];
  readonly gear: Channel | null;
}

/** Speeds that moved, the one that follows the driven wheels best first: no tyre slip in the ratio. */
const ratioSpeeds = (log: Pick<Log, 'channels'>): Channel[] =>
  (['wheel-speed-driven', 'vehicle-speed', 'wheel-speed-undriven', 'satellite-speed'] as const)
    .map((name) => channelNamed(log, name))
    .filter((channel): channel is Channel => channel !== null && quantileOf(thinned(channel.values), 0.98)! > 3);

/** A speed that shows one number while the engine speed moves by a tenth has frozen. */
const isFrozen = (speed: Channel, rpm: ArrayLike<number>, startS: number, endS: number): boolean => {
  const { values } = sliceOf(speed, startS, endS);
  if (values.length < 3) return false;
  const [low, high] = [quantileOf(rpm, 0.1), quantileOf(rpm, 0.9)];
  return values.every((value) => value === values[0]) && low !== null && high !== null && high > low * 1.1;
};

/** A gear column is believed when it holds whole numbers from -1 to 10 and a forward gear. */
const gearColumn = (log: Pick<Log, 'channels'>): Channel | null => {
  const channel = channelNamed(log, 'gear');
  if (!channel) return null;
  let forward = 0;
  for (const value of channel.values) {
    if (!Number.isInteger(value) || value < -1 || value > 10) return null;
    if (value >= 1) forward++;
  }
  return forward >= 5 ? channel : null;
};

/** Longest run of one reading of a moving speed of at least eight readings through which the engine speed moved by more than an eighth, in seconds. */
const frozenForS = (speed: Channel, rpm: Channel): number => {
  const { timesS, values } = speed;
  let longest = 0;
  let from = 0;
  for (let i = 1; i <= values.length; i++) {
    if (i < values.length && values[i] === values[from]) continue;
    const spanS = timesS[i - 1]! - timesS[from]!;
    if (values[from]! > 3 && i - from >= 8 && spanS > Math.max(2, longest)) {
      const engine = sliceOf(rpm, timesS[from]!, timesS[i - 1]!).values;
      const [low, high] = [quantileOf(engine, 0.05), quantileOf(engine, 0.95)];
      if (low !== null && high !== null && high > low * 1.12) longest = spanS;
    }
    from = i;
  }
  return longest;
};

const LOG_BIN = 0.01;

/** Ratios [rpm per m/s] of moments when the clutch is home: speed above 3 m/s and the ratio steady for half a second. */
export const steadyRatios = (rpm: Channel, speed: Channel): Float64Array => {
  const speeds = carried(speed, rpm.timesS);
  const out: number[] = [];
  const spanS = Math.max(0.5, 2.2 / Math.max(rpm.rateHz, 0.1), 2.2 / Math.max(speed.rateHz, 0.1));
  let back = 0;
  // Moments of a long log are thinned: the clusters stay.
  const stride = Math.max(1, Math.floor(speeds.length / 60_000));
  for (let i = 0; i < speeds.length; i += stride) {
    const timeS = rpm.timesS[i]!;
    while (timeS - rpm.timesS[back]! > spanS) back++;
    const [v, n, v0, n0] = [speeds[i]!, rpm.values[i]!, speeds[back]!, rpm.values[back]!];
    if (!(v > 3) || !(v0 > 3) || n < 900 || back === i) continue;
    if (Math.abs(Math.log((n / v) * (v0 / n0))) < 0.025) out.push(n / v);
  }
  return Float64Array.from(out);
};

interface Peak {
  readonly ratio: number;
  readonly share: number;
}

/** Peaks of the ratios' histogram on a logarithmic axis, largest first, at least 8 % apart and at least 1.5 % of the moments each. */
const peaksOf = (ratios: Float64Array): Peak[] => {
  if (ratios.length < 20) return [];
  const counts = new Map<number, number>();
  for (const ratio of ratios) {
    const bin = Math.round(Math.log(ratio) / LOG_BIN);
    counts.set(bin, (counts.get(bin) ?? 0) + 1);
  }
  const smooth = (bin: number): number => {
    let sum = 0;
    for (let k = -3; k <= 3; k++) sum += (counts.get(bin + k) ?? 0) * (1 - Math.abs(k) / 4);
    return sum;
  };
  const found: Peak[] = [];
  const order = [...counts.keys()].sort((a, b) => smooth(b) - smooth(a));
  for (const bin of order) {
    const ratio = Math.exp(bin * LOG_BIN);
    if (found.some((peak) => Math.abs(Math.log(peak.ratio / ratio)) < 0.08)) continue;
    const near = ratios.filter((other) => Math.abs(Math.log(other / ratio)) < 0.04);
    if (near.length < 0.015 * ratios.length || near.length < 8) continue;
    found.push({ ratio: medianOf(near)!, share: near.length / ratios.length });
    if (found.length >= 10) break;
  }
  return found;
};

/** How well `ratios` times `factor` meet the peaks: share-weighted bell curves 3 % wide, less a mild preference for a factor near 1. */
const agreement = (peaks: readonly Peak[], ratios: readonly number[], factor: number, looseness: number): number => {
  let sum = 0;
  for (const { ratio, share } of peaks) {
    const away = Math.min(...ratios.map((known) => Math.abs(Math.log(ratio / (known * factor)))));
    sum += Math.min(share, 0.5) * Math.exp(-0.5 * (away / 0.03) ** 2);
  }
  return sum * Math.exp(-0.5 * (Math.log(factor) / looseness) ** 2);
};

/** Best common factor between the pattern of peaks and of ratios, searched from 0.75 to 1.33. */
const bestFactor = (peaks: readonly Peak[], ratios: readonly number[], looseness: number): number => {
  let best = 1;
  let bestAgreement = agreement(peaks, ratios, 1, looseness);
  for (let log = -0.288; log <= 0.288; log += 0.004) {
    const now = agreement(peaks, ratios, Math.exp(log), looseness);
    if (now > bestAgreement + 1e-12) [best, bestAgreement] = [Math.exp(log), now];
  }
  return best;
};

/** Numbers for clusters of a car whose gearing is unknown: the rising run of gears whose steps and level are most usual. */
const usualNames = (
  ratios: readonly number[],
  usual: readonly number[],
): { readonly gears: readonly number[]; readonly factor: number } => {
  let best: { gears: number[]; factor: number; cost: number } | null = null;
  const extend = (gears: number[]): void => {
    if (gears.length === ratios.length) {
      const offsets = gears.map((gear, i) => Math.log(ratios[i]! / usual[gear - 1]!));
      const mean = offsets.reduce((sum, offset) => sum + offset, 0) / offsets.length;
      let cost = 0.5 * (mean / 0.16) ** 2;
      for (let i = 1; i < gears.length; i++) {
        cost += 0.5 * ((offsets[i]! - offsets[i - 1]!) / 0.08) ** 2 + (gears[i]! - gears[i - 1]! - 1) * 0.8;
      }
      if (!best || cost < best.cost) best = { gears: [...gears], factor: Math.exp(mean), cost };
      return;
    }
    for (let gear = (gears[gears.length - 1] ?? 0) + 1; gear <= usual.length; gear++) extend([...gears, gear]);
  };
  if (ratios.length > 0 && ratios.length <= usual.length) extend([]);
  return best ?? { gears: [], factor: 1 };
};

const nearestGear = (ratio: number, ratios: readonly number[], within: number): number | null => {
  let best: number | null = null;
  let bestAway = within;
  ratios.forEach((known, i) => {
    const away = Math.abs(Math.log(ratio / known));
    if (away < bestAway) [best, bestAway] = [i + 1, away];
  });
  return best;
};

/** Ratios by gear as a believed gear column shows them. */
const ratiosByColumn = (gear: Channel, rpm: Channel, speed: Channel): Map<number, number> => {
  const speeds = carried(speed, rpm.timesS);
  const byGear = new Map<number, number[]>();
  const stride = Math.max(1, Math.floor(speeds.length / 20_000));
  for (let i = 0; i < speeds.length; i += stride) {
    const after = firstIndexAtOrAfter(gear.timesS, rpm.timesS[i]! + 1e-9);
    const now = after > 0 ? gear.values[after - 1]! : 0;
    if (now < 1 || !(speeds[i]! > 3)) continue;
    const list = byGear.get(now) ?? [];
    list.push(rpm.values[i]! / speeds[i]!);
    byGear.set(now, list);
  }
  return new Map([...byGear].map(([number, list]) => [number, medianOf(list)!]));
};

/**
 * Clusters the ratio of engine to road speed and names them: by the build's gearing, the pattern matched up to a common
 * factor (a speed that reads wrong by a constant), else by the ratios usual in road cars. A believed gear column goes
 * before both for the gear of a stretch.
 */
export const gearModelOf = (log: Pick<Log, 'channels'>, gearing?: KnownGearing): GearModel => {
  const logged = channelNamed(log, 'engine-speed');
  const rpm = logged ? soundEngineSpeed(logged) : null;
  const all = ratioSpeeds(log);
  const alive = rpm ? all.filter((channel) => frozenForS(channel, rpm) < 4) : all;
  const speeds = alive.length > 0 ? alive : all;
  const speed = speeds[0] ?? null;
  const gear = gearColumn(log);
  const none = { clusters: [], ratios: [], known: false, speedFactor: 1, speed, speeds, gear };
  if (!rpm || !speed) return none;
  // A lone speed that froze cannot name clusters; a stretch in which it lived still has its ratio.
  const peaks = alive.length > 0 ? peaksOf(steadyRatios(rpm, speed)) : [];
  const given = gearing?.rpmPerMPerS.filter((ratio) => ratio > 0) ?? [];
  const known = given.length > 0;
  const base = known ? given : USUAL_RPM_PER_KMH.map((ratio) => ratio * KMH_PER_M_PER_S);
  const named = [...peaks.filter(({ share }) => share > 0.03)].sort((a, b) => b.ratio - a.ratio).slice(0, base.length);
  const usual = known
    ? null
    : usualNames(
        named.map(({ ratio }) => ratio),
        base,
      );
  let factor = usual ? usual.factor : peaks.length > 0 ? bestFactor(peaks, base, 0.1) : 1;
  if (gear) {
    // The column names the gears; the factor follows from them.
    const seen = [...ratiosByColumn(gear, rpm, speed)].filter(([number]) => base[number - 1] !== undefined);
    const own = medianOf(seen.map(([number, ratio]) => Math.log(ratio / base[number - 1]!)));
    if (known && own !== null && Math.abs(own) < 0.35) factor = Math.exp(own);
  }
  const ratios = base.map((ratio) => ratio * factor);
  usual?.gears.forEach((number, i) => {
    ratios[number - 1] = named[i]!.ratio;
  });
  const clusters = peaks
    .map(({ ratio, share }) => ({ gear: nearestGear(ratio, ratios, known ? 0.08 : 0.14), rpmPerMPerS: ratio, share }))
    .sort((a, b) => b.rpmPerMPerS - a.rpmPerMPerS);
  return { clusters, ratios, known, speedFactor: 1 / factor, speed, speeds, gear };
};

/** The gear column's commonest forward gear in the later two thirds of a span, or null. */
const columnGear = (gear: Channel, startS: number, endS: number): number | null => {
  const slice = sliceOf(gear, startS + (endS - startS) / 3, endS - Math.min(0.15, (endS - startS) / 10));
  const votes = new Map<number, number>();
  for (const value of slice.values) votes.set(value, (votes.get(value) ?? 0) + 1);
  if (votes.size === 0) {
    const after = firstIndexAtOrAfter(gear.timesS, (startS + endS) / 2);
    const value = after > 0 ? gear.values[after - 1]! : Number.NaN;
    return value >= 1 ? value : null;
  }
  const [best] = [...votes].sort((a, b) => b[1] - a[1])[0]!;
  return best >= 1 ? best : null;
};

/** Ratios [rpm per m/s] of a span while its speed lived, empty when it froze. */
const liveRatios = (speed: Channel, rpm: Channel, startS: number, endS: number): number[] => {
  const slice = sliceOf(rpm, startS, endS);
  if (isFrozen(speed, slice.values, startS, endS)) return [];
  const speeds = carried(speed, slice.timesS);
  // What froze in the middle of the span counts no further than the moment it did.
  let last = speeds.length - 1;
  while (last > 0 && speeds[last] === speeds[last - 1]) last--;
  const isLateFreeze =
    speeds.length > 3 && slice.timesS[speeds.length - 1]! - slice.timesS[last]! > Math.max(0.8, 3 / speed.rateHz);
  const ratios: number[] = [];
  for (let i = 0; i < (isLateFreeze ? last : speeds.length); i++)
    if (speeds[i]! > 2) ratios.push(slice.values[i]! / speeds[i]!);
  return ratios;
};

/** Ratio [rpm per m/s] of a span from its lower side, so that slip of clutch or tyres, which only raises it, does not count; null without speed. */
export const spanRatio = (model: GearModel, rpm: Channel, startS: number, endS: number): number | null => {
  const settledS = Math.min(startS + 0.4, startS + (endS - startS) * 0.4);
  for (const speed of model.speeds) {
    const ratios = liveRatios(speed, rpm, settledS, endS);
    if (ratios.length > 0) return quantileOf(ratios, 0.25);
  }
  return null;
};

/** Ratio just before a span when the engine ran on into it without a shift; null otherwise. */
const ratioBefore = (model: GearModel, rpm: Channel, startS: number): number | null => {
  const before = sliceOf(rpm, startS - 1.2, startS + 0.1).values;
  const [low, high] = [quantileOf(before, 0), quantileOf(before, 1)];
  if (low === null || high === null || high > low * 1.08) return null;
  for (const speed of model.speeds) {
    const ratios = liveRatios(speed, rpm, startS - 1.2, startS);
    const still = sliceOf(speed, startS - 6, startS).values;
    if (ratios.length > 0 && !still.every((value) => value === still[0])) return medianOf(ratios);
  }
  return null;
};

/** Gear of a span with the clutch home, or null when nothing tells. */
export const gearOfSpan = (model: GearModel, rpm: Channel, startS: number, endS: number): number | null => {
  if (model.gear) {
    const gear = columnGear(model.gear, startS, endS);
    if (gear !== null) return gear;
  }
  const ratio = spanRatio(model, rpm, startS, endS) ?? ratioBefore(model, rpm, startS);
  if (ratio === null || model.ratios.length === 0) return null;
  return nearestGear(ratio, model.ratios, model.known ? 0.14 : 0.2);
};

/**
 * Gears of the parts of one pull. A gear column speaks for each part; else upshifts follow one another, so the run of
 * consecutive gears nearest to all ratios is taken (a part that spun its tyres is carried by the others).
 */
export const gearsOfParts = (
  model: GearModel,
  rpm: Channel,
  parts: readonly { readonly startS: number; readonly endS: number }[],
): (number | null)[] => {
  const single = parts.map(({ startS, endS }) => gearOfSpan(model, rpm, startS, endS));
  if (model.gear || parts.length < 2) return single;
  const ratios = parts.map(
    ({ startS, endS }, i) => spanRatio(model, rpm, startS, endS) ?? (i === 0 ? ratioBefore(model, rpm, startS) : null),
  );
  const firstGear = single[0];
  // A speed that froze on the way names the first gear only; upshifts count on from there.
  if (firstGear && ratios.slice(1).some((ratio) => ratio === null)) return parts.map((_, i) => firstGear + i);
  if (!ratios.every((ratio): ratio is number => ratio !== null)) return single;
  for (let i = 1; i < ratios.length; i++) if (ratios[i - 1]! / ratios[i]! > 1.95) return single;
  let best: { first: number; cost: number } | null = null;
  for (let first = 0; first + ratios.length <= model.ratios.length; first++) {
    const aways = ratios.map((ratio, i) => Math.abs(Math.log(ratio / model.ratios[first + i]!)));
    const cost = aways.reduce((sum, away) => sum + Math.min(away, 0.3), 0) / aways.length;
    if (!best || cost < best.cost) best = { first, cost };
  }
  return best && best.cost < 0.2 ? ratios.map((_, i) => best.first + i + 1) : single;
};
