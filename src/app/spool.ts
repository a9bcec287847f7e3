/** Spool and lift of a build, as `boostwright spool --json` prints them. */
import type { Car } from '../car/index.ts';
import {
  type BandedSpool,
  combineSpool,
  curveTimesS,
  SOAK_PAUSE_S,
  type SpoolRequest as SpoolAsk,
  type SpoolSample,
  spoolShare as shareOfSpool,
  spoolSample,
} from '../match/index.ts';
import { matchCautions } from './cautions.ts';
import { type ModelRequest, resolvedOf } from './model-request.ts';
import { BadInput } from './problems.ts';
import { SEED, type Share } from './shares.ts';
import type { SpoolView } from './spool-api.ts';

export type SpoolAnswer = Omit<SpoolView, 'buildId'> & { readonly build: string };

/** What may be left out: third gear (or the middle one), from 2000 rpm, lifting at 80 % of the rev limit. */
export interface SpoolAskedFor {
  readonly gear?: number | undefined;
  readonly fromRpm?: number | undefined;
  readonly liftRpm?: number | undefined;
}

export interface SpoolRequest extends ModelRequest {
  readonly asked: SpoolAskedFor;
}

/** Cars run for the bands when nothing is said. */
export const USUAL_SPOOL_SAMPLES = 120;
const LOWEST_RPM = 1000;
const USUAL_FROM_RPM = 2000;
/** A pull shorter than this says nothing [rpm]. */
const LEAST_PULL_RPM = 500;

const rangeOf = (car: Car): readonly [number, number] => [
  Math.max(LOWEST_RPM, Math.ceil(car.engine.idleSpeedRpm / 50) * 50),
  Math.floor((car.engine.revLimitRpm - LEAST_PULL_RPM) / 50) * 50,
];

/**
 * The question made whole.
 * @throws BadInput where gear or engine speed is not the car's.
 */
const spoolAskOf = (car: Car, { gear, fromRpm, liftRpm }: SpoolAskedFor): SpoolAsk => {
  const gears = car.facts.gearRatios.length;
  const [lowest, highest] = rangeOf(car);
  const chosen = gear ?? Math.min(3, Math.max(1, Math.ceil(gears / 2)));
  if (!(Number.isInteger(chosen) && chosen >= 1 && chosen <= gears))
    throw new BadInput('no-such-gear', `Gear ${chosen} is not one of the ${gears} that this build has.`);
  const within = (rpm: number, what: string) => {
    if (!(rpm >= lowest && rpm <= car.engine.revLimitRpm) || (what === 'start' && rpm > highest))
      throw new BadInput(
        'engine-speed-out-of-range',
        `The engine speed to ${what === 'start' ? 'start from' : 'lift off at'} must lie between ${lowest} and ${what === 'start' ? highest : Math.round(car.engine.revLimitRpm)} rpm for this build, and ${rpm} was given.`,
      );
    return rpm;
  };
  return {
    gear: chosen,
    fromRpm: within(fromRpm ?? Math.min(highest, Math.max(lowest, USUAL_FROM_RPM)), 'start'),
    liftRpm: within(liftRpm ?? Math.round((0.8 * car.engine.revLimitRpm) / 100) * 100, 'lift'),
  };
};

/** The best estimate, which says how long the curves are. */
export const spoolBest = ({ build, conditions, asked }: SpoolRequest): SpoolSample => {
  const { car } = resolvedOf(build);
  return spoolSample(car, conditions, spoolAskOf(car, asked));
};

/** One share of the cars, run. */
export const spoolShare = ({
  build,
  conditions,
  asked,
  endS,
  share,
}: SpoolRequest & { readonly endS: number; readonly share: Share }): SpoolSample[] => {
  const resolved = resolvedOf(build);
  return shareOfSpool(resolved, conditions, spoolAskOf(resolved.car, asked), curveTimesS(endS), share, SEED);
};

const kPa = (pa: number) => `${Math.round(pa / 1000)} kPa`;

const reasonWords = (spool: BandedSpool): string | undefined => {
  const { boostPa, boostTargetPa, engineSpeedRpm } = spool.curves;
  const last = boostPa.length - 1;
  const [boost, target, rpm] = [boostPa[last]?.p50 ?? 0, boostTargetPa[last]?.p50 ?? 0, engineSpeedRpm[last]?.p50 ?? 0];
  switch (spool.reason) {
    case 'target not reached before the rev limit':
      return `Boost gets to ${kPa(boost)} of ${kPa(target)} by ${Math.round(rpm)} rpm: start from a higher engine speed, take a higher gear, or look for a smaller turbine.`;
    case 'engine speed falls in this gear':
      return 'The engine cannot pull this gear from here: take a lower gear.';
    case 'no boost is asked for':
      return 'The build asks for less than 10 kPa of boost: there is nothing to spool up to.';
    case null:
      return undefined;
    default:
      return 'The run in time has no sound answer with these numbers; look for one that is far off.';
  }
};

/** The shares put together, in order. */
export const spoolTogether = ({
  build,
  conditions,
  asked,
  best,
  solved,
}: SpoolRequest & { readonly best: SpoolSample; readonly solved: readonly SpoolSample[] }): SpoolAnswer => {
  const { car } = resolvedOf(build);
  const spool = combineSpool(best, solved, spoolAskOf(car, asked), conditions);
  const [lowest, highest] = rangeOf(car);
  const says = reasonWords(spool);
  return {
    schema: 'boostwright.spool/1',
    build: build.name,
    conditions,
    gear: spool.request.gear,
    gears: car.facts.gearRatios.length,
    fromEngineSpeedRpm: spool.request.fromRpm,
    liftEngineSpeedRpm: spool.request.liftRpm,
    lowestEngineSpeedRpm: lowest,
    highestEngineSpeedRpm: highest,
    revLimitRpm: car.engine.revLimitRpm,
    samples: spool.samples,
    arrived: spool.arrived,
    reached: spool.reached,
    reason: spool.reason,
    ...(says === undefined ? {} : { says }),
    overshootPa: spool.overshootPa,
    overshootS: spool.overshootS,
    peakShaftSpeedRpm: spool.peakShaftSpeedRpm,
    shaftSpeedLimitRpm: car.turbocharger.shaftSpeedLimitRpm,
    peakCompressorOutletTemperatureK: spool.peakOutletTemperatureK,
    highestChargeTemperatureK: spool.highestChargeTemperatureK,
    repeatedPulls: { pauseS: SOAK_PAUSE_S, highestChargeTemperatureK: spool.repeatedPulls },
    lift: {
      kind: spool.lift.kind,
      boostPa: spool.lift.boostPa,
      chanceOfSurge: spool.lift.chanceOfSurge,
      leastFlowOverSurgeFlow: spool.lift.leastFlowShare,
      cycles: spool.lift.cycles,
      leftOfSurgeLineS: spool.lift.leftS,
      bypassValve: car.facts.bypassValve,
      bypassAssumed: !car.facts.bypassSaid,
    },
    curves: spool.curves,
    cautions: matchCautions(car),
  };
};
