/** Road-load numbers from the coast-downs of a log, and a car that has them where they are surer than its sheet. */
import type { Car, Input, ResolvedBuild } from '../../car/index.ts';
import type { ChannelName, Log } from '../../logs/index.ts';
import { ROAD_LOAD_REFERENCE, STANDARD_GRAVITY_M_PER_S2 } from '../../physics/index.ts';
import type { Band, RoadLoadSeen } from '../types.ts';
import { ROLLING_DOUBLES_M_PER_S } from './acceleration.ts';
import { type CoastFit, coastDowns, fitCoastDown } from './coast-down.ts';
import { NORMAL_90 } from './combine.ts';
import { type Day, dayOf } from './day.ts';
import { errorSpreads } from './log-errors.ts';

/** What of a grade or a wind two coast-downs of one log have in common [-] (same road and day, either way; common practice, no source). */
const ROAD_IN_COMMON = 0.5;
/** Rolling resistance falls by this with each kelvin [1/K]. Source: UN R83 and SAE J1263 (temperature correction; from memory). */
const ROLLING_PER_K = 8.64e-3;
/** Reading of a road speed [relative, one standard deviation]: satellite, else a wheel's or the dash's. Common practice, no source. */
const SPEED_SCALE_SD = { satellite: 0.002, other: 0.01 } as const;

interface Unsure {
  readonly value: number;
  readonly sd: number;
}

/** Two values of one thing into one, by their variances. Source: Gauss. */
const together = (a: Unsure, b: Unsure): Unsure => {
  const [wa, wb] = [1 / a.sd ** 2, 1 / b.sd ** 2];
  return { value: (wa * a.value + wb * b.value) / (wa + wb), sd: 1 / Math.sqrt(wa + wb) };
};

const bandOfUnsure = ({ value, sd }: Unsure): Band => ({
  p10: value - NORMAL_90 * sd,
  p50: value,
  p90: value + NORMAL_90 * sd,
});

/** Car and everything that turns with its wheels while the clutch is open [kg]. Source: Gillespie (1992) eq. 2-9. */
const coastingMassKg = ({ body, driveline, tyres }: Car): number =>
  body.massKg + driveline.undrivenRotatingMassKg + driveline.drivenInertiaKgM2 / tyres.rollingRadiusM ** 2;

/**
 * What a head wind w adds, rho CdA v w, falls on both terms: over v1 to v2 the line v is nearest v1 v2/(v1+v2) + v2/(v1+v2)
 * (exact at both ends). Source: SAE J1263 road load with wind along the road.
 */
const windTerms = ({ fromMPerS, toMPerS }: CoastFit) => ({
  constantM: (fromMPerS * toMPerS) / (fromMPerS + toMPerS),
  quadraticPerMPerS: 1 / (fromMPerS + toMPerS),
});

const sdOf = ({ inputs }: ResolvedBuild, path: string): number =>
  inputs.find((input) => input.path === path)?.sdSi ?? 0;

/** Mean of several with independent errors of their own and an error of the road that they partly share. */
const meanOver = (values: readonly Unsure[], roadSd: number): Unsure => {
  const size = values.length;
  const own = values.reduce((sum, { sd }) => sum + sd * sd, 0) / size ** 2;
  const road = roadSd ** 2 * (ROAD_IN_COMMON + (1 - ROAD_IN_COMMON) / size);
  return { value: values.reduce((sum, { value }) => sum + value, 0) / size, sd: Math.sqrt(own + road) };
};

const forcesOf = (fits: readonly CoastFit[], resolved: ResolvedBuild, day: Day, satellite: boolean) => {
  const { car } = resolved;
  const massKg = coastingMassKg(car);
  const { grade, headWindMPerS } = errorSpreads({
    exhaustPressure: false,
    fuelPressure: false,
    ambientTemperature: day.ambientTemperatureKnown,
    lambda: false,
  });
  const massShare = sdOf(resolved, 'body.mass') / car.body.massKg;
  const scale = satellite ? SPEED_SCALE_SD.satellite : SPEED_SCALE_SD.other;
  const constants = fits.map(({ constantMPerS2, constantSdMPerS2 }) => ({
    value: massKg * constantMPerS2,
    sd: massKg * Math.hypot(constantSdMPerS2, constantMPerS2 * Math.hypot(massShare, scale)),
  }));
  const quadratics = fits.map(({ quadraticPerM, quadraticSdPerM }) => ({
    value: massKg * quadraticPerM,
    sd: massKg * Math.hypot(quadraticSdPerM, quadraticPerM * Math.hypot(massShare, scale)),
  }));
  const windForcePerSpeed = day.densityKgPerM3 * car.body.dragAreaM2 * headWindMPerS;
  const terms = fits.map(windTerms);
  const byWind = (pick: (term: (typeof terms)[number]) => number) =>
    (windForcePerSpeed * terms.reduce((sum, term) => sum + pick(term), 0)) / terms.length;
  const byGrade = car.body.massKg * STANDARD_GRAVITY_M_PER_S2 * grade;
  return {
    constantN: meanOver(
      constants,
      Math.hypot(
        byGrade,
        byWind(({ constantM }) => constantM),
      ),
    ),
    quadraticNPerM2S2: meanOver(
      quadratics,
      byWind(({ quadraticPerMPerS }) => quadraticPerMPerS),
    ),
  };
};

const withInputs = (resolved: ResolvedBuild, changed: Readonly<Record<string, Unsure>>): ResolvedBuild['inputs'] =>
  resolved.inputs.map((input): Input => {
    const better = changed[input.path];
    return better ? { ...input, valueSi: better.value, sdSi: better.sd, source: 'logged', estimated: false } : input;
  });

/** What road and tyres do to a car, as sheet and coast-downs say it together. Plain data. */
export interface RoadLoadUsed {
  readonly rollingResistance: Unsure;
  readonly dragAreaM2: Unsure;
}

/** The build with the road load that its powers are reckoned with; itself where there is none but the sheet's. */
export const withRoadLoad = (resolved: ResolvedBuild, used: RoadLoadUsed | null): ResolvedBuild => {
  if (!used) return resolved;
  const { rollingResistance, dragAreaM2 } = used;
  const body = {
    ...resolved.car.body,
    dragAreaM2: dragAreaM2.value,
    rollingResistance: rollingResistance.value,
  };
  return {
    ...resolved,
    car: { ...resolved.car, body },
    inputs: withInputs(resolved, { 'body.dragArea': dragAreaM2, 'body.rollingResistance': rollingResistance }),
  };
};

export interface RoadLoadAnswer {
  /** What the coast-downs say; null where the log has none. */
  readonly seen: RoadLoadSeen | null;
  readonly used: RoadLoadUsed | null;
  /** The build with drag and rolling resistance as sheet and coast-downs say them together. */
  readonly resolved: ResolvedBuild;
}

/**
 * Road load from the coast-downs of a log: F0 and F2 as driven and in standard air (20 degC, 98.21 kPa), each with the errors
 * of the fit, the mass, the speed reading, an unknown grade and an unknown wind, averaged over the coast-downs; and the sheet
 * brought together with them by their variances. One coast-down in one direction cannot tell rolling from a grade, so F0 is
 * mostly the sheet's; F2 is worth more.
 * Source: SAE J1263 (two-term force from speed over time, corrected to standard air; from memory), reference air SAE J2263.
 */
export const roadLoadSeen = (log: Log, resolved: ResolvedBuild, doubted: ReadonlySet<ChannelName>): RoadLoadAnswer => {
  const fits = coastDowns(log, doubted).flatMap((coast) => fitCoastDown(log, coast, doubted) ?? []);
  if (fits.length === 0) return { seen: null, used: null, resolved };
  const { car } = resolved;
  const day = dayOf(log);
  const satellite = log.channels.some(({ channel }) => channel === 'satellite-speed' && !doubted.has(channel));
  const { constantN, quadraticNPerM2S2 } = forcesOf(fits, resolved, day, satellite);
  const weightN = car.body.massKg * STANDARD_GRAVITY_M_PER_S2;
  const rolling = { value: constantN.value / weightN, sd: constantN.sd / weightN };
  const usedRolling = together(
    { value: car.body.rollingResistance, sd: Math.max(1e-8, sdOf(resolved, 'body.rollingResistance')) },
    rolling,
  );
  // What rolling gains with speed is no drag; the growth itself is sure to a half.
  const growth = (weightN * usedRolling.value) / ROLLING_DOUBLES_M_PER_S ** 2;
  const half = day.densityKgPerM3 / 2;
  const dragArea = {
    value: Math.max(0.05, (quadraticNPerM2S2.value - growth) / half),
    sd: Math.hypot(quadraticNPerM2S2.sd, growth / 2) / half,
  };
  const usedDragArea = together(
    { value: car.body.dragAreaM2, sd: Math.max(1e-6, sdOf(resolved, 'body.dragArea')) },
    dragArea,
  );
  const standardDensity = ROAD_LOAD_REFERENCE.pressurePa / (287.05 * ROAD_LOAD_REFERENCE.temperatureK);
  const warmer = 1 + ROLLING_PER_K * (day.ambientTemperatureK - ROAD_LOAD_REFERENCE.temperatureK);
  const times = ({ value, sd }: Unsure, by: number): Unsure => ({ value: value * by, sd: sd * Math.abs(by) });
  const used = { rollingResistance: usedRolling, dragAreaM2: usedDragArea };
  return {
    seen: {
      coastDowns: fits.map(({ startS, endS, fromMPerS, toMPerS }) => ({ startS, endS, fromMPerS, toMPerS })),
      constantForceN: bandOfUnsure(constantN),
      quadraticForceNPerM2S2: bandOfUnsure(quadraticNPerM2S2),
      standardConstantForceN: bandOfUnsure(times(constantN, warmer)),
      standardQuadraticForceNPerM2S2: bandOfUnsure(times(quadraticNPerM2S2, standardDensity / day.densityKgPerM3)),
      rollingResistance: bandOfUnsure(rolling),
      dragAreaM2: bandOfUnsure(dragArea),
      sheetDragAreaM2: bandOfUnsure({ value: car.body.dragAreaM2, sd: sdOf(resolved, 'body.dragArea') }),
      usedRollingResistance: bandOfUnsure(usedRolling),
      usedDragAreaM2: bandOfUnsure(usedDragArea),
      standard: 'SAE J1263',
    },
    used,
    resolved: withRoadLoad(resolved, used),
  };
};
