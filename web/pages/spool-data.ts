/** What the Spool sheet says: curves in the reader's units, sentences, readings at the hairline. Pure. */
import type { SpoolLoggedPull, SpoolView } from '../../src/app/spool-api.ts';
import { type Band, bandAt, between, readAt } from '../charts/interpolate.ts';
import { loggedAtTime, type SpoolCurves } from '../charts/spool-traces.ts';
import { type Units, writeNumber } from '../state/units.ts';

/** Share of the boost asked for at which it counts as there; as the model has it. */
const ARRIVED_SHARE = 0.9;
const THOUSAND = 1000;

const ORDINALS = ['first', 'second', 'third', 'fourth', 'fifth', 'sixth', 'seventh', 'eighth'] as const;
/** "third gear". */
export const gearWords = (gear: number): string =>
  `${ORDINALS[gear - 1] ?? `gear ${gear},`} gear`.replace(', gear', '');

const inReading = (band: Band, read: (si: number) => number): Band => ({
  p10: read(band.p10),
  p50: read(band.p50),
  p90: read(band.p90),
});

/** Seconds that show the spool and what follows at once; the whole pull where it is short. */
export const firstSeconds = (view: SpoolView, logged: SpoolLoggedPull | null): number => {
  const end = view.curves.timesS[view.curves.timesS.length - 1] ?? 1;
  const arrived = Math.max(view.arrived?.timeS.p90 ?? end, (logged && loggedArrivedS(view, logged)) ?? 0);
  return Math.min(end, Math.max(4, Math.ceil(2 * arrived)));
};

export const spoolCurves = (
  view: SpoolView,
  logged: SpoolLoggedPull | null,
  units: Units,
  endS: number,
): SpoolCurves => {
  const pressure = (si: number) => units.toReading('pressure', si);
  return {
    timesS: view.curves.timesS,
    boost: view.curves.boostPa.map((band) => inReading(band, pressure)),
    target: view.curves.boostTargetPa.map(({ p50 }) => pressure(p50)),
    shaft: view.curves.shaftSpeedRpm.map((band) => inReading(band, (rpm) => rpm / THOUSAND)),
    shaftLimit: view.shaftSpeedLimitRpm / THOUSAND,
    loggedBoost: logged ? { timesS: logged.timesS, values: logged.boostPa.map(pressure) } : null,
    loggedShaft: logged?.shaftSpeedRpm
      ? { timesS: logged.timesS, values: logged.shaftSpeedRpm.map((rpm) => rpm / THOUSAND) }
      : null,
    pressureUnit: units.label('pressure'),
    arrivedS: view.arrived?.timeS ?? null,
    endS,
  };
};

/** What is asked for at an engine speed, from the predicted pull [Pa]. */
const targetAtSpeed = (view: SpoolView, rpm: number): number => {
  const speeds = view.curves.engineSpeedRpm.map(({ p50 }) => p50);
  const targets = view.curves.boostTargetPa.map(({ p50 }) => p50);
  const at = between(speeds, Math.min(speeds[speeds.length - 1] ?? 0, Math.max(speeds[0] ?? 0, rpm)));
  return at ? readAt(targets, at) : (targets[0] ?? 0);
};

/** When the logged boost came to 90 % of what the build asks for; null where it did not. */
export const loggedArrivedS = (view: SpoolView, logged: SpoolLoggedPull): number | null => {
  const place = logged.boostPa.findIndex(
    (boost, i) => boost >= ARRIVED_SHARE * targetAtSpeed(view, logged.engineSpeedRpm[i]!),
  );
  return place < 0 ? null : logged.timesS[place]!;
};

const plusMinus = (band: Band, decimals: number): string =>
  `${writeNumber(band.p50, decimals)} ±${writeNumber((band.p90 - band.p10) / 2, decimals)}`;

/** One sentence that a builder could say aloud. */
export const spoolSentence = (view: SpoolView): string => {
  const where = `In ${gearWords(view.gear)} from ${writeNumber(view.fromEngineSpeedRpm, 0)} rpm`;
  if (!view.arrived) return `${where} boost does not arrive: ${view.reason}.`;
  return `${where} boost is there after ${plusMinus(view.arrived.timeS, 1)} s, at ${writeNumber(view.arrived.engineSpeedRpm.p50, 0)} rpm.`;
};

/** What the logged pull did beside it; null without one. */
export const loggedSentence = (view: SpoolView, logged: SpoolLoggedPull | null): string | null => {
  if (!logged) return null;
  const from = `${writeNumber(logged.fromEngineSpeedRpm, 0)} rpm`;
  const arrived = loggedArrivedS(view, logged);
  const what = `Logged in ${logged.fileName} from ${from}`;
  if (arrived === null) return `${what}: boost did not get to 90 % of what this build asks for.`;
  const band = view.arrived?.timeS;
  const near = Math.abs(logged.fromEngineSpeedRpm - view.fromEngineSpeedRpm) < 60;
  const verdict =
    band === undefined || !near
      ? ''
      : arrived > band.p90
        ? ', later than predicted'
        : arrived < band.p10
          ? ', sooner than predicted'
          : ', as predicted';
  return `${what}: there after ${writeNumber(arrived, 1)} s${verdict}.`;
};

const VALVE = {
  recirculating: 'a recirculating bypass valve',
  atmospheric: 'a blow-off valve to the open air',
  none: 'no bypass valve',
} as const;

/** Surge on lift-off in words. */
export const liftSentence = ({ lift, liftEngineSpeedRpm }: SpoolView, units: Units): string => {
  const at = `Lifting off at ${writeNumber(liftEngineSpeedRpm, 0)} rpm and ${units.write('pressure', lift.boostPa.p50)} ${units.label('pressure')} with ${VALVE[lift.bypassValve]}${lift.bypassAssumed ? ' (nobody said which; the usual one is taken)' : ''}`;
  const chance = `${Math.round(100 * lift.chanceOfSurge)} of 100 samples surge`;
  switch (lift.kind) {
    case 'surges':
      return `${at}, the compressor surges: the flow turns round ${writeNumber(lift.cycles.p50, 0)} times within ${writeNumber(lift.leftOfSurgeLineS.p50, 1)} s; ${chance}.`;
    case 'crosses the surge line':
      return `${at}, the compressor crosses its surge line for ${writeNumber(lift.leftOfSurgeLineS.p50, 2)} s, but the flow does not turn round; ${chance}.`;
    default:
      return `${at}, the compressor stays clear of surge: its least flow is ${writeNumber(lift.leastFlowOverSurgeFlow.p50, 1)} times the flow at which it surges; ${chance}.`;
  }
};

/** Name and value for the list of facts. */
export const spoolFacts = (view: SpoolView, units: Units): (readonly [string, string])[] => {
  const pressure = units.label('pressure');
  const temperature = units.label('temperature');
  const moment = (one: SpoolView['arrived']) =>
    one
      ? `${plusMinus(one.timeS, 2)} s, ${plusMinus(one.engineSpeedRpm, 0)} rpm${one.chance < 0.995 ? `, in ${Math.round(100 * one.chance)} of 100` : ''}`
      : 'not in this pull';
  const spread = (kind: 'pressure' | 'temperature', band: Band) =>
    `${units.write(kind, band.p50)} ±${units.writeSpread(kind, (band.p90 - band.p10) / 2)} ${kind === 'pressure' ? pressure : temperature}`;
  return [
    ['90 % of the boost asked for', moment(view.arrived)],
    ['All of it', moment(view.reached)],
    ['Over target once there', `${spread('pressure', view.overshootPa)}, for ${plusMinus(view.overshootS, 1)} s`],
    [
      'Peak shaft speed',
      `${plusMinus(
        inReading(view.peakShaftSpeedRpm, (rpm) => rpm / THOUSAND),
        0,
      )} of ${writeNumber(view.shaftSpeedLimitRpm / THOUSAND, 0)} thousand rpm`,
    ],
    ['Peak compressor outlet', spread('temperature', view.peakCompressorOutletTemperatureK)],
    ['Hottest charge in this pull', spread('temperature', view.highestChargeTemperatureK)],
    [
      `Then again every ${writeNumber(view.repeatedPulls.pauseS, 0)} s`,
      `${view.repeatedPulls.highestChargeTemperatureK
        .slice(1)
        .map((band) => units.write('temperature', band.p50))
        .join(', ')} ${temperature}`,
    ],
  ];
};

export interface SpoolReading {
  readonly name: string;
  readonly predicted: string;
  readonly logged: string | null;
}

/** Readings at a time. */
export const spoolReadings = (
  view: SpoolView,
  curves: SpoolCurves,
  logged: SpoolLoggedPull | null,
  timeS: number,
  units: Units,
): SpoolReading[] => {
  const at = between(view.curves.timesS, timeS);
  const of = (values: readonly Band[]) => (at ? bandAt(values, (band) => band, at) : undefined);
  const speed = of(view.curves.engineSpeedRpm);
  const boost = of(curves.boost);
  const shaft = of(curves.shaft);
  const charge = of(view.curves.chargeTemperatureK);
  const decimals = units.write('pressure', 1e5).split('.')[1]?.length ?? 0;
  const loggedSpeed = logged
    ? loggedAtTime({ timesS: logged.timesS, values: logged.engineSpeedRpm }, timeS)
    : undefined;
  const loggedBoost = loggedAtTime(curves.loggedBoost, timeS);
  const loggedShaft = loggedAtTime(curves.loggedShaft, timeS);
  return [
    {
      name: 'Engine speed',
      predicted: speed ? `${plusMinus(speed, 0)} rpm` : '–',
      logged: loggedSpeed === undefined ? null : `${writeNumber(loggedSpeed, 0)} rpm`,
    },
    {
      name: 'Boost',
      predicted: boost ? `${plusMinus(boost, decimals)} ${curves.pressureUnit}` : '–',
      logged: loggedBoost === undefined ? null : `${writeNumber(loggedBoost, decimals)} ${curves.pressureUnit}`,
    },
    {
      name: 'Shaft speed',
      predicted: shaft ? `${plusMinus(shaft, 0)} thousand rpm` : '–',
      logged: loggedShaft === undefined ? null : `${writeNumber(loggedShaft, 0)} thousand rpm`,
    },
    {
      name: 'Charge',
      predicted: charge
        ? `${units.write('temperature', charge.p50)} ±${units.writeSpread('temperature', (charge.p90 - charge.p10) / 2)} ${units.label('temperature')}`
        : '–',
      logged: null,
    },
  ];
};

/** Engine speeds to choose from, 250 rpm apart, with `also` among them. */
export const speedChoices = (lowest: number, highest: number, step: number, also: readonly number[]): number[] => {
  const first = Math.ceil(lowest / step) * step;
  const even = Array.from(
    { length: Math.max(0, Math.floor((highest - first) / step) + 1) },
    (_, i) => first + i * step,
  );
  return [...new Set([...even, ...also.filter((rpm) => rpm >= lowest && rpm <= highest)])].sort((a, b) => a - b);
};
