/** Road load, gearing, tyres, traction and the ideal quarter mile. Speeds in m/s, engine and wheel speeds in rpm. */

import { type Solved, solved, unsolved } from './reason.ts';
import { findRoot } from './roots.ts';
import { STANDARD_GRAVITY_M_PER_S2 } from './units.ts';

const INCH_M = 0.0254;
/** A quarter of a mile [m], exact. Definition. */
export const QUARTER_MILE_M = 402.336;

/** Drag [N], rho CdA v2 / 2, from air density [kg/m3], drag area [m2] and speed [m/s]. Definition. */
export const dragForceN = (airDensityKgPerM3: number, dragAreaM2: number, speedMPerS: number): number =>
  (airDensityKgPerM3 * dragAreaM2 * speedMPerS * Math.abs(speedMPerS)) / 2;

/** Rolling resistance [N], Crr m g on level ground, coefficient [-] and mass [kg]. Source: SAE J1263 constant term. */
export const rollingResistanceN = (coefficient: number, massKg: number): number =>
  coefficient * massKg * STANDARD_GRAVITY_M_PER_S2;

/** What holds a car back. */
export interface RoadLoad {
  readonly massKg: number;
  readonly rollingCoefficient: number;
  readonly dragAreaM2: number;
  readonly airDensityKgPerM3: number;
}

/** Force [N] that holds a car back on level ground at a speed [m/s]. Source: SAE J1263, two-term road load. */
export const roadLoadN = (load: RoadLoad, speedMPerS: number): number =>
  rollingResistanceN(load.rollingCoefficient, load.massKg) +
  dragForceN(load.airDensityKgPerM3, load.dragAreaM2, speedMPerS);

/**
 * Speed at which a power at the wheels just balances the road load.
 *
 * @param wheelPowerW [W], above 0
 * @param load the car
 * @returns [m/s]. Reasons: `input-out-of-range`, `bracket-without-root`, `no-convergence`.
 * Source: power balance.
 */
export const topSpeedMPerS = (wheelPowerW: number, load: RoadLoad): Solved<number> =>
  wheelPowerW > 0
    ? findRoot((speed) => roadLoadN(load, speed) * speed - wheelPowerW, 0, 500)
    : unsolved('input-out-of-range', 'A top speed needs power at the wheels.');

/** A tyre's size. */
export interface TyreSize {
  readonly widthM: number;
  /** Height over width [-]. */
  readonly aspect: number;
  readonly rimDiameterM: number;
  /** Nominal, unloaded, outside [m]. */
  readonly diameterM: number;
}

/**
 * Size of a tyre written like "225/45R17" (also ZR, a space, and P or LT in front).
 *
 * @param text the designation
 * @returns a {@link TyreSize} [m]. Reason: `size-unreadable`.
 * Source: ISO 4000-1 designation: rim in inches plus twice the section height.
 */
export const parseTyreSize = (text: string): Solved<TyreSize> => {
  const match = /^(?:P|LT)?(\d{3})\/(\d{2})\s*(?:Z?R|-)\s*(\d{2}(?:\.5)?)/i.exec(text.trim());
  if (!match) return unsolved('size-unreadable', `"${text}" is not a tyre size like "225/45R17".`);
  const widthM = Number(match[1]) / 1000;
  const aspect = Number(match[2]) / 100;
  const rimDiameterM = Number(match[3]) * INCH_M;
  return solved({ widthM, aspect, rimDiameterM, diameterM: rimDiameterM + 2 * widthM * aspect });
};

/** Road speed [m/s] from engine speed [rpm], ratios [-] and tyre diameter [m], without slip. Source: kinematics. */
export const roadSpeedMPerS = (
  engineSpeedRpm: number,
  gearRatio: number,
  finalRatio: number,
  tyreDiameterM: number,
): number => (Math.PI * tyreDiameterM * engineSpeedRpm) / (60 * gearRatio * finalRatio);

/** Engine speed [rpm] from road speed [m/s], ratios [-] and tyre diameter [m], without slip. Source: kinematics. */
export const engineSpeedFromRoadRpm = (
  speedMPerS: number,
  gearRatio: number,
  finalRatio: number,
  tyreDiameterM: number,
): number => (60 * gearRatio * finalRatio * speedMPerS) / (Math.PI * tyreDiameterM);

/** Force at the contact patch [N] from engine torque [N m], ratios, efficiency [-] and tyre diameter [m]. Definition. */
export const tractiveForceN = (
  engineTorqueNm: number,
  gearRatio: number,
  finalRatio: number,
  efficiency: number,
  tyreDiameterM: number,
): number => (2 * engineTorqueNm * gearRatio * finalRatio * efficiency) / tyreDiameterM;

/** Rotating parts. */
export interface RotatingParts {
  /** Engine, flywheel and clutch [kg m2]. */
  readonly engineInertiaKgM2: number;
  /** All wheels, tyres, discs and axles [kg m2]. */
  readonly wheelsInertiaKgM2: number;
}

/**
 * Mass that the driving force accelerates: the car and its rotating parts as if they moved straight.
 *
 * @param massKg [kg]
 * @param parts inertias [kg m2]
 * @param gearRatio [-]
 * @param finalRatio [-]
 * @param tyreDiameterM [m]
 * @returns [kg]
 * Source: Gillespie, Fundamentals of Vehicle Dynamics (1992), eq. 2-9.
 */
export const effectiveMassKg = (
  massKg: number,
  parts: RotatingParts,
  gearRatio: number,
  finalRatio: number,
  tyreDiameterM: number,
): number => {
  const radius = tyreDiameterM / 2;
  return massKg + (parts.wheelsInertiaKgM2 + parts.engineInertiaKgM2 * (gearRatio * finalRatio) ** 2) / radius ** 2;
};

/** Reference air of road-load tests [K, Pa] and the effective-mass default [-]. Source: SAE J2263 (supplement to J1263). */
export const ROAD_LOAD_REFERENCE = {
  temperatureK: 293.15,
  pressurePa: 29 * 3386.389,
  effectiveMassRatio: 1.03,
} as const;

/** How a car stands on its axles. */
export interface AxleGeometry {
  readonly massKg: number;
  /** Share of the weight on the front axle at rest [-]. */
  readonly frontShare: number;
  readonly centreOfGravityHeightM: number;
  readonly wheelbaseM: number;
}

/**
 * Load on the front axle under acceleration, m g share - m a h / L.
 *
 * @param car masses and lengths
 * @param accelerationMPerS2 forwards [m/s2]
 * @returns [N]; zero when the wheels would lift
 * Source: Gillespie (1992), eq. 1-7.
 */
export const frontAxleLoadN = (car: AxleGeometry, accelerationMPerS2: number): number => {
  const weight = car.massKg * STANDARD_GRAVITY_M_PER_S2;
  const shifted = (car.massKg * accelerationMPerS2 * car.centreOfGravityHeightM) / car.wheelbaseM;
  return Math.min(weight, Math.max(0, weight * car.frontShare - shifted));
};

/** Load on the rear axle [N] under acceleration [m/s2]; see {@link frontAxleLoadN}. Source: Gillespie (1992), eq. 1-7. */
export const rearAxleLoadN = (car: AxleGeometry, accelerationMPerS2: number): number =>
  car.massKg * STANDARD_GRAVITY_M_PER_S2 - frontAxleLoadN(car, accelerationMPerS2);

/** Wheels that drive. */
export type DrivenWheels = 'front' | 'rear' | 'all';

/**
 * Greatest force that the tyres can take with the load that this very force shifts (without road load).
 *
 * @param car masses and lengths
 * @param driven which wheels drive
 * @param gripCoefficient tyre on ground [-]
 * @returns [N]
 * Source: Gillespie (1992), sect. 2 (traction-limited acceleration), solid line through both axles.
 */
export const tractionLimitN = (car: AxleGeometry, driven: DrivenWheels, gripCoefficient: number): number => {
  const weight = car.massKg * STANDARD_GRAVITY_M_PER_S2;
  if (driven === 'all') return gripCoefficient * weight;
  const lever = (gripCoefficient * car.centreOfGravityHeightM) / car.wheelbaseM;
  if (driven === 'front') return (gripCoefficient * weight * car.frontShare) / (1 + lever);
  // Once the front wheels lift, the rear carries everything.
  const rear = lever < 1 ? (gripCoefficient * weight * (1 - car.frontShare)) / (1 - lever) : Number.POSITIVE_INFINITY;
  return Math.min(rear, gripCoefficient * weight);
};

/**
 * Time to coast from one speed to a lower one under f0 + f2 v2.
 *
 * @param effectiveMass mass with rotating parts [kg]
 * @param constantForceN f0 [N], above 0
 * @param quadraticNPerM2S2 f2 [N s2/m2], above 0
 * @param fromMPerS [m/s]
 * @param toMPerS [m/s], lower
 * @returns [s]. Reason: `input-out-of-range`.
 * Source: integral of the two-term road load of SAE J1263.
 */
export const coastDownTimeS = (
  effectiveMass: number,
  constantForceN: number,
  quadraticNPerM2S2: number,
  fromMPerS: number,
  toMPerS: number,
): Solved<number> => {
  if (!(constantForceN > 0 && quadraticNPerM2S2 > 0 && toMPerS >= 0 && fromMPerS >= toMPerS && effectiveMass > 0)) {
    return unsolved(
      'input-out-of-range',
      'A coast-down runs from a higher to a lower speed against forces above zero.',
    );
  }
  const root = Math.sqrt(quadraticNPerM2S2 / constantForceN);
  return solved(
    (effectiveMass / Math.sqrt(constantForceN * quadraticNPerM2S2)) *
      (Math.atan(fromMPerS * root) - Math.atan(toMPerS * root)),
  );
};

/** Speed [m/s] after a distance [m] at constant power [W] from rest, (3 P L / m)^(1/3), mass [kg]. Source: Fox, Am. J. Phys. 41 (1973) 311. */
export const constantPowerSpeedMPerS = (powerW: number, massKg: number, distanceM = QUARTER_MILE_M): number =>
  Math.cbrt((3 * powerW * distanceM) / massKg);

/** Time [s] over a distance [m] at constant power [W] from rest, (9 m L2 / (8 P))^(1/3), mass [kg]. Source: Fox, Am. J. Phys. 41 (1973) 311. */
export const constantPowerTimeS = (powerW: number, massKg: number, distanceM = QUARTER_MILE_M): number =>
  Math.cbrt((9 * massKg * distanceM * distanceM) / (8 * powerW));

/** Power [W] behind a speed [m/s] over a distance [m] without losses; inverse of {@link constantPowerSpeedMPerS}. Source: Fox (1973). */
export const powerFromTrapSpeedW = (speedMPerS: number, massKg: number, distanceM = QUARTER_MILE_M): number =>
  (massKg * speedMPerS ** 3) / (3 * distanceM);

/** Constants of rules of thumb for the quarter mile in mph, s, hp and lb. Source: Huntington as cited by Fox (1973); Hale from memory. */
export const QUARTER_MILE_RULES = {
  huntington: { speedConstant: 225 },
  hale: { speedConstant: 234, timeConstant: 5.825 },
  /** 32 cars tested in 1974 (R datasets::mtcars); standard deviation of the constant 0.37. */
  roadTests1974: { timeConstant: 6.232, standardDeviation: 0.37 },
} as const;

/** Trap speed [mph] by rule, c (hp/lb)^(1/3), power [hp] and weight [lb]. Source: {@link QUARTER_MILE_RULES}. */
export const ruleTrapSpeedMph = (speedConstant: number, powerHp: number, weightLb: number): number =>
  speedConstant * Math.cbrt(powerHp / weightLb);

/** Elapsed time [s] by rule, c (lb/hp)^(1/3), power [hp] and weight [lb]. Source: {@link QUARTER_MILE_RULES}. */
export const ruleElapsedTimeS = (timeConstant: number, powerHp: number, weightLb: number): number =>
  timeConstant * Math.cbrt(weightLb / powerHp);
