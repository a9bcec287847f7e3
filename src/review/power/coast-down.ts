/** Coast-downs in a log: where they are, and the two forces that slowed the car, by their speed over time. */
import { type ChannelName, channelNamed, type Log, medianOf, quantileOf, resample, sliceOf } from '../../logs/index.ts';
import { inverseDiagonal, leastSquares } from '../../physics/index.ts';

/** A stretch without engine and brake. */
export interface CoastDown {
  readonly startS: number;
  readonly endS: number;
  readonly fromMPerS: number;
  readonly toMPerS: number;
}

/** Deceleration a + b v2 of one coast-down: a [m/s2], b [1/m], each with the standard deviation of the fit alone. */
export interface CoastFit extends CoastDown {
  readonly constantMPerS2: number;
  readonly constantSdMPerS2: number;
  readonly quadraticPerM: number;
  readonly quadraticSdPerM: number;
}

const SPEEDS: readonly ChannelName[] = [
  'satellite-speed',
  'wheel-speed-undriven',
  'vehicle-speed',
  'wheel-speed-driven',
];
const STEP_S = 0.5;
/** Without the engine a car loses 0.1 to 0.3 m/s2 to rolling and 0.0002 to 0.0008 v2 to the air; twice as much is a brake (common practice, no source). */
const mostDeceleration = (speedMPerS: number): number => 0.45 + 0.0012 * speedMPerS * speedMPerS;
/** Idle with a margin for electrical load; higher, the engine is in gear (common practice, no source). */
const IDLE_MARGIN = 1.35;
/** Clutch, idle and tyres settle at the ends [s]. */
const TRIMMED_S = 1.5;
/**
 * Least length [s] and loss of speed [m/s] from which two forces can be told apart. SAE J1263 asks for 115 to 15 km/h (from
 * memory); what a shorter one is worth its bands say.
 */
const LEAST_S = 10;
const LEAST_LOSS_M_PER_S = 8;
const MOST_READINGS = 240;

/**
 * Stretches in which the car rolls freely: the engine idles while road speed falls, so that they do not turn together, and
 * no faster than air and tyres can make it.
 *
 * @param log engine speed, a road speed; pedal or brake are not needed
 * @param doubted channels not to be believed
 */
export const coastDowns = (log: Log, doubted: ReadonlySet<ChannelName>): readonly CoastDown[] => {
  const engine = channelNamed(log, 'engine-speed');
  const speed = coastSpeed(log, doubted);
  if (!engine || !speed || doubted.has('engine-speed')) return [];
  const running = engine.values.filter((rpm) => rpm > 450);
  const idleRpm = Math.min(1100, quantileOf(running, 0.02) ?? 800);
  const size = Math.max(0, Math.floor((log.endS - log.startS) / STEP_S));
  const at = Float64Array.from({ length: size }, (_, i) => log.startS + i * STEP_S);
  const rpm = resample(engine, at, 2);
  const v = resample(speed, at, 2);
  const found: CoastDown[] = [];
  let from = -1;
  const close = (to: number) => {
    if (from < 0) return;
    const startS = at[from]! + TRIMMED_S;
    const endS = at[to]! - TRIMMED_S;
    const [fromMPerS, toMPerS] = [v[from]!, v[to]!];
    if (endS - startS >= LEAST_S && fromMPerS - toMPerS >= LEAST_LOSS_M_PER_S) {
      found.push({ startS, endS, fromMPerS, toMPerS });
    }
    from = -1;
  };
  for (let i = 2; i < size - 2; i++) {
    const slowing = (v[i - 2]! - v[i + 2]!) / (4 * STEP_S);
    const free =
      rpm[i]! < IDLE_MARGIN * idleRpm &&
      rpm[i]! > 0.6 * idleRpm &&
      v[i]! > 4 &&
      slowing > 0 &&
      slowing < mostDeceleration(v[i]!);
    if (free && from < 0) from = i;
    if (!free) close(i - 1);
  }
  close(size - 3);
  return found;
};

const coastSpeed = (log: Log, doubted: ReadonlySet<ChannelName>) =>
  SPEEDS.flatMap((name) => (doubted.has(name) ? [] : (channelNamed(log, name) ?? []))).find(
    ({ rateHz }) => rateHz >= 0.9,
  ) ?? null;

/**
 * Speed [m/s] of a car that coasts under a + b v2, `timeS` after it had `startMPerS`:
 * sqrt(a/b) tan(atan(v0 sqrt(b/a)) - t sqrt(a b)), not below nought.
 * Source: integral of the two-term road load of SAE J1263.
 */
export const coastSpeedMPerS = (
  startMPerS: number,
  constantMPerS2: number,
  quadraticPerM: number,
  timeS: number,
): number => {
  const root = Math.sqrt(quadraticPerM / constantMPerS2);
  const angle = Math.atan(startMPerS * root) - timeS * Math.sqrt(constantMPerS2 * quadraticPerM);
  return angle <= 0 ? 0 : Math.tan(angle) / root;
};

/** Rolling without which nothing coasts and more than any road tyre has; drag likewise. */
const BELIEVABLE = { constant: [0.02, 0.6], quadratic: [3e-5, 2e-3] } as const;

/** Scatter of neighbours is not independent: the sum of correlations of what a first-order process leaves. */
const correlationFactor = (residuals: readonly number[]): number => {
  const square = residuals.reduce((sum, r) => sum + r * r, 0);
  const next = residuals.slice(1).reduce((sum, r, i) => sum + r * residuals[i]!, 0);
  const rho = square > 0 ? Math.min(0.95, Math.max(0, next / square)) : 0;
  return (1 + rho) / (1 - rho);
};

/**
 * The two forces per effective mass from speed over time by least squares; null where the readings do not allow it or what
 * comes out is no coasting car.
 * Source: SAE J1263 (speed-time method; from memory), J2263; least squares Press et al. sect. 15.5.
 */
export const fitCoastDown = (log: Log, coast: CoastDown, doubted: ReadonlySet<ChannelName>): CoastFit | null => {
  const speed = coastSpeed(log, doubted);
  if (!speed) return null;
  const { timesS, values } = sliceOf(speed, coast.startS, coast.endS);
  const every = Math.max(1, Math.ceil(timesS.length / MOST_READINGS));
  const picked = Array.from({ length: Math.floor(timesS.length / every) }, (_, i) => i * every);
  if (picked.length < 8) return null;
  const t0 = timesS[0]!;
  const residuals = ([v0, lnConstant, lnQuadratic]: readonly number[]) =>
    picked.map(
      (i) =>
        coastSpeedMPerS(v0! * values[0]!, Math.exp(lnConstant!), Math.exp(lnQuadratic!), timesS[i]! - t0) - values[i]!,
    );
  const { unknowns, cost, normal } = leastSquares(residuals, [1, Math.log(0.13), Math.log(3.5e-4)]);
  const constant = Math.exp(unknowns[1]!);
  const quadratic = Math.exp(unknowns[2]!);
  const inside = (value: number, [low, high]: readonly [number, number]) => value > low && value < high;
  if (!inside(constant, BELIEVABLE.constant) || !inside(quadratic, BELIEVABLE.quadratic)) return null;
  const variance = (cost / (picked.length - 3)) * correlationFactor(residuals(unknowns));
  const typical = medianOf(values) ?? 1;
  // Rounding alone scatters less than a hundredth of the speed; more is a brake, a hill that changes, or wind in gusts.
  if (Math.sqrt(cost / picked.length) > 0.02 * typical) return null;
  const [, constantShare, quadraticShare] = inverseDiagonal(normal).map((share) => Math.sqrt(share * variance));
  return {
    ...coast,
    constantMPerS2: constant,
    constantSdMPerS2: constant * constantShare!,
    quadraticPerM: quadratic,
    quadraticSdPerM: quadratic * quadraticShare!,
  };
};
