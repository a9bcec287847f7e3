import { medianOf, quantileOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { confidenceBy, finding, inPercent, lacking, type Rule } from './rule.ts';

/** Tyre wear and pressure move a rolling radius by 1-2 %; more is another tyre, another gear wheel or a wrong setting. */
const OFF_SHARE = 0.033;
const CERTAIN_SHARE = 0.06;
/** The factor must be one factor: middle half of the samples within this. */
const ONE_FACTOR = 0.02;
const LEAST_SPEED_M_PER_S = 6;
const LEAST_S = 2.5;
/** Engine over road speed counts as locked while it changes less than this over a third of a second. */
const LOCKED_SHARE = 0.012;
/** Nearest gear must be nearer than half the smallest gap between gears. */
const GEAR_GAP_SHARE = 0.45;

/** Road speed [m/s] per engine rpm in each gear by the build. */
const overallRatios = (context: ReviewContext): number[] => {
  const { car } = context;
  if (!car) return [];
  return car.facts.gearRatios.map(
    (ratio) => (ratio * car.driveline.finalDrive * 30) / (Math.PI * car.tyres.rollingRadiusM),
  );
};

/** Samples in which engine and wheels turn locked together under little load, where tyres creep least. */
const lockedSamples = (context: ReviewContext, speed: Float64Array, engine: Float64Array): number[] => {
  const pressure = context.on('manifold-pressure');
  const reach = context.samples(0.17);
  const ratio = engine.map((rpm, i) => (speed[i]! > LEAST_SPEED_M_PER_S && rpm > 900 ? rpm / speed[i]! : Number.NaN));
  const locked: number[] = [];
  for (let i = reach; i < ratio.length - reach; i++) {
    const here = ratio[i]!;
    if (
      !(Math.abs(ratio[i - reach]! / here - 1) < LOCKED_SHARE) ||
      !(Math.abs(ratio[i + reach]! / here - 1) < LOCKED_SHARE)
    )
      continue;
    if (pressure && !(pressure[i]! < context.barometricPressurePa)) continue;
    locked.push(i);
  }
  return locked;
};

export const speedScaleOff: Rule = {
  id: 'speed-scale-off',
  look(context) {
    const speed = context.on('vehicle-speed');
    const engine = context.on('engine-speed');
    if (!speed || !engine) return lacking('vehicle-speed', 'engine-speed');
    const witnessName = (['satellite-speed', 'wheel-speed-undriven', 'wheel-speed-driven'] as const).find((name) =>
      context.on(name),
    );
    const witness = witnessName ? context.on(witnessName) : null;
    const known = overallRatios(context);
    if (known.length === 0 && !witness) return lacking('build: gear ratios, final drive and tyre or satellite-speed');
    const locked = lockedSamples(context, speed, engine);
    if (locked.length * context.stepS < LEAST_S) return [];
    const gear = context.on('gear');
    const gaps = known.slice(1).map((value, i) => Math.abs(Math.log(known[i]! / value)));
    const nearEnough = GEAR_GAP_SHARE * (gaps.length > 0 ? Math.min(...gaps) : 0.2);
    const factors = locked.flatMap((i) => {
      if (known.length === 0) return [witness![i]! > 3 ? speed[i]! / witness![i]! : Number.NaN];
      const ratio = engine[i]! / speed[i]!;
      const told = gear?.[i] ? known[Math.round(gear[i]!) - 1] : undefined;
      const nearest =
        told ??
        known.reduce((best, value) =>
          Math.abs(Math.log(ratio / value)) < Math.abs(Math.log(ratio / best)) ? value : best,
        );
      // Road speed read too low makes the ratio too high.
      return told !== undefined || Math.abs(Math.log(ratio / nearest)) < nearEnough ? [nearest / ratio] : [];
    });
    const factor = medianOf(factors);
    if (factor === null || factors.filter(Number.isFinite).length * context.stepS < LEAST_S) return [];
    const spread = (quantileOf(factors, 0.75) ?? 1) - (quantileOf(factors, 0.25) ?? 1);
    const off = Math.abs(factor - 1);
    if (off < OFF_SHARE * context.strictness || spread > ONE_FACTOR) return [];
    const byWitness = witness && medianOf(locked.map((i) => (witness[i]! > 3 ? speed[i]! / witness[i]! : Number.NaN)));
    return [
      finding('speed-scale-off', {
        severity: 'watch',
        confidence:
          confidenceBy(off, OFF_SHARE, CERTAIN_SHARE) - (byWitness && Math.abs(byWitness - 1) < 0.02 ? 0.15 : 0),
        startS: context.timesS[locked[0]!]!,
        endS: context.timesS[locked.at(-1)!]!,
        channels: ['vehicle-speed', 'engine-speed', witnessName],
        numbers: { speedOverTrue: factor, speedOverOtherSpeed: byWitness, spread },
        says: `Road speed reads ${inPercent(off, 1)} too ${factor < 1 ? 'low' : 'high'} against ${known.length > 0 ? 'engine speed, gearing and tyre of the build' : 'the other speed in the log'}, by the same factor throughout: its scale is wrong.`,
        couldAlsoBe: [
          'another tyre size or final drive than the build sheet says',
          'gear ratios in the build sheet that are not this gearbox’s',
        ],
        next: 'Measure the rolling circumference over one turn of the wheel on the ground, correct tyre or speed scale, and read this log again: power from acceleration is off by two to three times this share.',
        source: 'kinematics: engine speed = road speed times gearing over rolling radius',
      }),
    ];
  },
};
