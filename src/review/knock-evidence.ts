/**
 * What a log has shown of knock: how far its timing stood from the estimated borderline, whether anything was heard, and
 * where the borderline of this engine then lies.
 */
import type { ResolvedBuild } from '../car/index.ts';
import { type ChannelName, channelNamed, type Log, type Pull, quantileOf, resample } from '../logs/index.ts';
import { knockLimitsAt } from '../match/index.ts';
import { normalDistribution } from '../physics/index.ts';
import { type KnockEvidence, knockEvidenceText, type TimingShown } from './knock-shown.ts';
import { conditionsOf, dayOf } from './power/index.ts';

const BIN_RPM = 250;
const STEP_S = 0.05;
/** Bins that are solved for: each costs a balance of the whole car. */
const MOST_BINS = 160;
/** Fewest readings in a bin. */
const LEAST_READINGS = 3;
/** After the pedal or a shift timing is led in [s]. */
const SETTLES_S = 0.4;
/** Retard that counts as heard, as in the finding `knock`, and below which a bin counts as silent [deg]. */
const HEARD_DEG = 1.8;
const SILENT_DEG = 0.5;
/**
 * How sharply heard and silent part at the borderline [deg]: what the cycle misses from one engine speed to the next, and
 * how surely a sensor hears the first knocks (no source).
 */
const SHARPNESS_DEG = 1.5;
const PRIOR_PATH = 'learned.knockLimit';

/**
 * Borderline after what was shown, from a normal prior [deg]: silent at `silentOverDeg` means it lies there or beyond,
 * heard at `heardOverDeg` there or before, each with {@link SHARPNESS_DEG}. Only the furthest silent and the least heard
 * timing count: bins of one log err together.
 */
export const borderlineAfter = (
  before: { readonly valueDeg: number; readonly sdDeg: number },
  silentOverDeg: number | null,
  heardOverDeg: number | null,
): { readonly valueDeg: number; readonly sdDeg: number } => {
  let weight = 0;
  let first = 0;
  let second = 0;
  const reach = 5 * before.sdDeg;
  const steps = 400;
  for (let i = 0; i <= steps; i++) {
    const moved = -reach + (2 * reach * i) / steps;
    let density = Math.exp(-0.5 * (moved / before.sdDeg) ** 2);
    if (silentOverDeg !== null) density *= normalDistribution((moved - silentOverDeg) / SHARPNESS_DEG);
    if (heardOverDeg !== null) density *= normalDistribution((heardOverDeg - moved) / SHARPNESS_DEG);
    weight += density;
    first += density * moved;
    second += density * moved * moved;
  }
  // Evidence beyond five deviations of what was thought possible: nothing to weigh with.
  if (!(weight > 1e-12)) return before;
  const mean = first / weight;
  return {
    valueDeg: before.valueDeg + mean,
    sdDeg: Math.sqrt(Math.max(0, second / weight - mean * mean)),
  };
};

interface Bin {
  readonly rpm: number[];
  readonly advance: number[];
  readonly pressure: number[];
  readonly charge: number[];
  readonly lambda: number[];
  mostRetardDeg: number;
}

const binsOf = (log: Log, pulls: readonly Pull[], trusted: (name: ChannelName) => boolean): Bin[] | null => {
  const channel = (name: ChannelName) => (trusted(name) ? channelNamed(log, name) : null);
  const spark = channel('spark-advance');
  const retard = channel('knock-retard');
  const count = channel('knock-count');
  const speed = channel('engine-speed');
  const pressure = channel('manifold-pressure');
  if (!spark || !speed || !pressure || !(retard || count)) return null;
  const charge = channel('charge-temperature');
  const lambda = channel('lambda');
  const bins: Bin[] = [];
  for (const { startS, endS } of pulls.flatMap(({ parts }) => parts)) {
    const from = startS + SETTLES_S;
    const times = Float64Array.from(
      { length: Math.max(0, Math.floor((endS - from) / STEP_S)) },
      (_, i) => from + i * STEP_S,
    );
    const at = (of: typeof spark | null) => (of ? resample(of, times) : null);
    const rpm = at(speed)!;
    const advance = at(spark)!;
    const pa = at(pressure)!;
    const taken = at(retard);
    const counted = at(count);
    const chargeK = at(charge);
    const mixture = at(lambda);
    const own = new Map<number, Bin>();
    times.forEach((_, i) => {
      if (!Number.isFinite(rpm[i]! + advance[i]! + pa[i]!)) return;
      const place = Math.round(rpm[i]! / BIN_RPM);
      const bin = own.get(place) ?? { rpm: [], advance: [], pressure: [], charge: [], lambda: [], mostRetardDeg: 0 };
      own.set(place, bin);
      bin.rpm.push(rpm[i]!);
      bin.advance.push(advance[i]!);
      bin.pressure.push(pa[i]!);
      if (chargeK && Number.isFinite(chargeK[i]!)) bin.charge.push(chargeK[i]!);
      if (mixture && Number.isFinite(mixture[i]!)) bin.lambda.push(mixture[i]!);
      // Some controls write retard as a negative angle. Counted knock without an angle counts as heard.
      if (taken && Number.isFinite(taken[i]!)) bin.mostRetardDeg = Math.max(bin.mostRetardDeg, Math.abs(taken[i]!));
      if (counted && i > 0 && counted[i]! > counted[i - 1]! + 0.5)
        bin.mostRetardDeg = Math.max(bin.mostRetardDeg, HEARD_DEG);
    });
    bins.push(...[...own.values()].filter(({ rpm: all }) => all.length >= LEAST_READINGS));
  }
  return bins;
};

const middle = (values: readonly number[]) => quantileOf(values, 0.5);

/** Of many pulls the bins that can decide: all that were heard, and of each engine speed those of the earliest timing. */
const mostTelling = (bins: readonly Bin[]): readonly Bin[] => {
  if (bins.length <= MOST_BINS) return bins;
  const bySpeed = new Map<number, Bin[]>();
  for (const bin of bins) {
    const place = Math.round(middle(bin.rpm)! / BIN_RPM);
    const own = bySpeed.get(place);
    if (own) own.push(bin);
    else bySpeed.set(place, [bin]);
  }
  const each = Math.ceil(MOST_BINS / bySpeed.size);
  return [...bySpeed.values()].flatMap((own) => {
    const silent = own.filter(({ mostRetardDeg }) => mostRetardDeg < HEARD_DEG);
    const earliest = silent.sort((a, b) => middle(b.advance)! - middle(a.advance)!).slice(0, each);
    return [...own.filter(({ mostRetardDeg }) => mostRetardDeg >= HEARD_DEG), ...earliest];
  });
};

/**
 * What the pulls of a log show of knock, for a build. Null where it cannot be said: no spark ignition, no pull, timing or
 * manifold pressure not logged, nothing that listens (a count or a retard), or readings in `doubted`.
 *
 * The borderline is the match's at the logged engine speed, manifold pressure, charge temperature and mixture (as far as
 * logged). The answer is relative to that estimate and no promise: silence at one charge temperature and one filling of
 * fuel says nothing of a hotter day or a poorer one.
 */
export const knockEvidence = (
  log: Log,
  resolved: ResolvedBuild,
  doubted: ReadonlySet<ChannelName>,
): KnockEvidence | null => {
  if (resolved.car.facts.ignition !== 'spark' || log.pulls.length === 0) return null;
  const all = binsOf(log, log.pulls, (name) => !doubted.has(name));
  const prior = resolved.inputs.find(({ path }) => path === PRIOR_PATH);
  if (!all || !prior) return null;
  const bins = mostTelling(all);
  const moments = bins.map((bin) => ({
    engineSpeedRpm: middle(bin.rpm)!,
    manifoldPressurePa: middle(bin.pressure)!,
    // As the control had it before it took any out.
    sparkAdvanceDeg: middle(bin.advance)! + (bin.mostRetardDeg >= HEARD_DEG ? bin.mostRetardDeg : 0),
    chargeTemperatureK: middle(bin.charge) ?? undefined,
    lambda: middle(bin.lambda) ?? undefined,
  }));
  const limits = knockLimitsAt(resolved.car, conditionsOf(dayOf(log)), moments);
  let silent: TimingShown | null = null;
  let heard: TimingShown | null = null;
  for (const [i, limit] of limits.entries()) {
    if (limit === null) continue;
    const { engineSpeedRpm, manifoldPressurePa, sparkAdvanceDeg } = moments[i]!;
    const { mostRetardDeg } = bins[i]!;
    const shown = { overLimitDeg: sparkAdvanceDeg - limit, sparkAdvanceDeg, engineSpeedRpm, manifoldPressurePa };
    if (mostRetardDeg >= HEARD_DEG) {
      if (!heard || shown.overLimitDeg < heard.overLimitDeg) heard = shown;
    } else if (mostRetardDeg <= SILENT_DEG && (!silent || shown.overLimitDeg > silent.overLimitDeg)) silent = shown;
  }
  if (!silent && !heard) return null;
  const before = { valueDeg: prior.valueSi, sdDeg: prior.sdSi };
  const shown = {
    bins: limits.filter((limit) => limit !== null).length,
    silent,
    heard,
    before,
    after: borderlineAfter(before, silent?.overLimitDeg ?? null, heard?.overLimitDeg ?? null),
  };
  return { ...shown, says: knockEvidenceText(shown) };
};
