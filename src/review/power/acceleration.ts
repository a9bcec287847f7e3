/** Crank power from how the car gathers speed: force on mass and air, gearing, and what turns with the engine. */
import type { Car } from '../../car/index.ts';
import { dragForceN, rollingResistanceN, STANDARD_GRAVITY_M_PER_S2 } from '../../physics/index.ts';
import { type Grade, UNKNOWN_GRADE } from './altitude-grade.ts';
import type { Day } from './day.ts';
import type { LogErrors } from './log-errors.ts';
import type { PartSeries, SpeedSeries } from './part-series.ts';

/** A car's motion at one moment. */
export interface Motion {
  /** [rpm] and [rpm/s] */
  readonly engineSpeedRpm: number;
  readonly engineSpeedSlopeRpmPerS: number;
  /** Of the car over ground [m/s], [m/s2]. */
  readonly speedMPerS: number;
  readonly accelerationMPerS2: number;
  /** Of the driven wheels [rad/s2]. */
  readonly wheelSlopeRadPerS2: number;
  /** Engine revolutions per wheel revolution. */
  readonly overallRatio: number;
}

/** What resists and what is carried. SI. */
export interface RoadLoad {
  readonly massKg: number;
  /** Undriven wheels as moving mass [kg]. */
  readonly undrivenRotatingMassKg: number;
  readonly drivenInertiaKgM2: number;
  readonly engineInertiaKgM2: number;
  readonly drivelineEfficiency: number;
  readonly rollingRadiusM: number;
  readonly dragAreaM2: number;
  /** At low speed [-], and the relative error of its growth with speed. */
  readonly rollingResistance: number;
  readonly rollingGrowthGain: number;
  readonly airDensityKgPerM3: number;
  readonly headWindMPerS: number;
  readonly grade: number;
  /** Growth of the tyre's radius at 55 m/s [-]. */
  readonly tyreGrowth: number;
}

/** Speed at which a tyre rolls twice as hard as at walking pace [m/s]. */
export const ROLLING_DOUBLES_M_PER_S = 55;

/**
 * Rolling resistance over that at low speed, 1 + (v / 55 m/s)^2.
 * Source: between the curves of Gillespie (1992) eq. 4-14 and Mitschke & Wallentowitz (2014) sect. 2.1 (from memory).
 */
export const rollingGrowth = (speedMPerS: number, gain = 0): number =>
  1 + (1 + gain) * (speedMPerS / ROLLING_DOUBLES_M_PER_S) ** 2;

/** Rolling radius [m] at a speed, r (1 + g (v / 55 m/s)^2): a belted tyre grows a little as it spins. Source: physics of a stretched ring; see `TYRE_GROWTH`. */
export const tyreRadiusM = (
  { rollingRadiusM, tyreGrowth }: Pick<RoadLoad, 'rollingRadiusM' | 'tyreGrowth'>,
  speedMPerS: number,
) => rollingRadiusM * (1 + tyreGrowth * (speedMPerS / ROLLING_DOUBLES_M_PER_S) ** 2);

/** Of belted radial tyres some 0.2 to 0.5 % at 200 km/h (common practice, no source); the error is as large. */
const TYRE_GROWTH = 0.003;

/**
 * Force at the driven tyres [N]: (m + m_rot) a + rho/2 CdA (v + w)|v + w| + m g (Crr growth(v) + grade).
 * Source: SAE J1263 road load; drag and rolling resistance as VD-01 and VD-02 of the check values.
 */
export const tyreForceN = (motion: Motion, load: RoadLoad): number => {
  const rolling = load.rollingResistance * rollingGrowth(motion.speedMPerS, load.rollingGrowthGain);
  return (
    (load.massKg + load.undrivenRotatingMassKg) * motion.accelerationMPerS2 +
    dragForceN(load.airDensityKgPerM3, load.dragAreaM2, motion.speedMPerS + load.headWindMPerS) +
    rollingResistanceN(rolling + load.grade, load.massKg)
  );
};

/**
 * Crank power before the engine's own acceleration [W]: torque that tyres and wheels ask for through the driveline,
 * (F r + Iw dw/dt) / (i eta), plus the engine's own, Ie de/dt, times engine speed. The engine's inertia so counts with
 * the ratio squared; losses of the driveline are not taken from it.
 * Source: Gillespie, Fundamentals of Vehicle Dynamics (1992) eq. 2-9; definition of crank power in the contract.
 */
export const crankPowerW = (motion: Motion, load: RoadLoad): number => {
  const wheelTorque =
    tyreForceN(motion, load) * tyreRadiusM(load, motion.speedMPerS) +
    load.drivenInertiaKgM2 * motion.wheelSlopeRadPerS2;
  const radPerS = (motion.engineSpeedRpm * Math.PI) / 30;
  const radPerS2 = (motion.engineSpeedSlopeRpmPerS * Math.PI) / 30;
  const torque = wheelTorque / (motion.overallRatio * load.drivelineEfficiency) + load.engineInertiaKgM2 * radPerS2;
  return torque * radPerS;
};

/** Stiffness and shape of the usual dry-road tyre curve F = mu N sin(C atan(B s)). Source: Pacejka, Tyre and Vehicle Dynamics (2012) sect. 4.3.1, usual values. */
const TYRE_STIFFNESS = 11;
const TYRE_SHAPE = 1.5;

/** Share of its grip that a tyre gives at a slip [-]. */
export const tyreGripShare = (slip: number): number => Math.sin(TYRE_SHAPE * Math.atan(TYRE_STIFFNESS * slip));

/** Slip [-] at which a tyre gives this share of its grip, 0 to 1: the inverse of {@link tyreGripShare} below its peak. */
export const tyreSlip = (gripShare: number): number =>
  gripShare <= 0 ? 0 : Math.tan(Math.asin(Math.min(1, gripShare)) / TYRE_SHAPE) / TYRE_STIFFNESS;

/** `grade`: of the stretch; its error is told in shares of an unknown road's. */
const roadLoadOf = (car: Car, day: Day, errors: LogErrors, grade: Grade = UNKNOWN_GRADE): RoadLoad => ({
  massKg: car.body.massKg,
  undrivenRotatingMassKg: car.driveline.undrivenRotatingMassKg,
  drivenInertiaKgM2: car.driveline.drivenInertiaKgM2,
  engineInertiaKgM2: car.engine.inertiaKgM2 + car.driveline.inputInertiaKgM2,
  drivelineEfficiency: car.driveline.efficiency,
  rollingRadiusM: car.tyres.rollingRadiusM,
  dragAreaM2: car.body.dragAreaM2,
  rollingResistance: car.body.rollingResistance,
  rollingGrowthGain: errors.rollingGrowthGain,
  airDensityKgPerM3: day.densityKgPerM3 * (1 + errors.airDensityGain),
  headWindMPerS: errors.headWindMPerS,
  grade: grade.mean + (errors.grade * grade.sd) / UNKNOWN_GRADE.sd,
  tyreGrowth: TYRE_GROWTH * (1 + errors.tyreGrowthGain),
});

/** Load on the driven tyres [N] while the car accelerates. Source: Gillespie (1992) eq. 1-6. */
const drivenLoadN = (car: Car, accelerationMPerS2: number): number => {
  const weight = car.body.massKg * STANDARD_GRAVITY_M_PER_S2;
  if (car.facts.driven === 'all') return weight;
  const shift = (car.body.centreOfGravityHeight * accelerationMPerS2) / STANDARD_GRAVITY_M_PER_S2;
  return weight * (car.body.drivenAxleLoad + (car.facts.driven === 'rear' ? shift : -shift));
};

/** How engine and road speed belong together over a part. */
export interface PartKinematics {
  /** Of the gear alone [-]. */
  readonly gearRatio: number;
  /** Where true, clutch or tyres slip: engine speed does not tell road speed there. */
  readonly slipping: readonly boolean[];
  /** Road speed that may be used instead, over ground, scale corrected; null where none can. */
  readonly speed: SpeedSeries | null;
  readonly speedScale: number;
  /** The speed is of the driven wheels: tyre slip is still in it. */
  readonly speedIsDriven: boolean;
}

/**
 * Tyre slip [-] on the grid while nothing spins, and its slope [1/s]. What the engine's speed does not show is the change
 * of slip: v = w r (1 - s) and F(s) = m dv/dt + resistance give ds/dt = ((1 - s) dw/dt - (F(s) - resistance) / (m r)) / w,
 * followed from where the clutch came home, before the grid (time constant m v / dF/ds, some 0.1 to 0.5 s).
 * Source: Pacejka, Tyre and Vehicle Dynamics (2012) sect. 4.3.1 for F(s); kinematics.
 */
const slipOnGrid = (series: PartSeries, overallRatio: number, car: Car, load: RoadLoad, errors: LogErrors) => {
  const gain = errors.tyreSlipGain;
  const start = series.afterShift ? START_AFTER_SHIFT + errors.startSlip : 1 + errors.startSlip / 3;
  const lead = series.leadIn.engineSpeedRpm.length;
  const size = series.timesS.length;
  const slips = new Float64Array(size).fill(Number.NaN);
  const slopes = new Float64Array(size);
  const moving = load.massKg + load.undrivenRotatingMassKg;
  const radius = load.rollingRadiusM;
  let slip = Number.NaN;
  for (let i = -lead; i < size; i++) {
    const rpm = i < 0 ? series.leadIn.engineSpeedRpm[lead + i]! : series.engineSpeedRpm[i]!;
    const rpmPerS = i < 0 ? series.leadIn.engineSpeedSlopeRpmPerS[lead + i]! : series.engineSpeedSlopeRpmPerS[i]!;
    const at = (s: number) => rollingMotion(rpm, rpmPerS, overallRatio, load, s, 0);
    const { wheelSlopeRadPerS2 } = at(0);
    const wheel = (rpm * Math.PI) / 30 / overallRatio;
    const grown = tyreRadiusM(load, wheel * radius);
    const stretch = 3 - (2 * radius) / grown;
    if (!Number.isFinite(wheelSlopeRadPerS2) || !(wheel > 3)) continue;
    const steady = at(Number.isNaN(slip) ? 0.02 : slip);
    const gripN = car.tyres.grip * drivenLoadN(car, steady.accelerationMPerS2);
    if (Number.isNaN(slip)) {
      slip = Math.min(MOST_SLIP, start * tyreSlip(Math.min(0.9, tyreForceN(steady, load) / gripN)) * (1 + gain));
    }
    const resistanceN = tyreForceN(steady, load) - moving * steady.accelerationMPerS2;
    const forceAt = (s: number) => gripN * tyreGripShare(s / (1 + gain));
    const slopeAt = (s: number) =>
      (stretch * (1 - s) * wheelSlopeRadPerS2 - (forceAt(s) - resistanceN) / (moving * grown)) / wheel;
    // Linear implicit step: steady however short the time constant.
    const rise = slopeAt(slip);
    const stiffness = (slopeAt(slip + 1e-4) - rise) / 1e-4;
    const step = (rise * series.stepS) / Math.max(1, 1 - stiffness * series.stepS);
    slip = Math.min(2 * MOST_SLIP, Math.max(0, slip + step));
    if (i < 0) continue;
    slopes[i] = step / series.stepS;
    slips[i] = slip < MOST_SLIP ? slip : Number.NaN;
  }
  return { slip: slips, slope: slopes };
};

/**
 * A shift lets go of the tyres and then throws the engine's own inertia at them: where the clutch comes home slip is
 * anything from nought to the steady one, with the middle taken. A pedal only adds torque.
 */
const START_AFTER_SHIFT = 0.5;
/** Beyond this the tyre curve is past its peak and says nothing about force [-]. */
const MOST_SLIP = 0.12;

/** Motion while clutch and tyres hold: v = w r (1 - s), so a = r ((1 - s) dw/dt - w ds/dt), and r grows with v squared. */
const rollingMotion = (
  engineSpeedRpm: number,
  engineSpeedSlopeRpmPerS: number,
  overallRatio: number,
  load: RoadLoad,
  slip: number,
  slipSlope: number,
): Motion => {
  const wheel = (engineSpeedRpm * Math.PI) / 30 / overallRatio;
  const radiusM = tyreRadiusM(load, wheel * load.rollingRadiusM);
  const growing = 3 * radiusM - 2 * load.rollingRadiusM;
  const wheelSlopeRadPerS2 = (engineSpeedSlopeRpmPerS * Math.PI) / 30 / overallRatio;
  return {
    engineSpeedRpm,
    engineSpeedSlopeRpmPerS,
    speedMPerS: wheel * radiusM * (1 - slip),
    accelerationMPerS2: growing * wheelSlopeRadPerS2 * (1 - slip) - radiusM * wheel * slipSlope,
    wheelSlopeRadPerS2,
    overallRatio,
  };
};

/**
 * Crank power [W] by acceleration on the grid, and the standard deviation of its noise from the slope of speed.
 * Engine speed through the known gearing tells the motion; tyre slip is taken from the tyre curve. Where clutch or tyres
 * slip a road speed takes over, and where none can, NaN.
 */
export const powerFromAccelerationW = (
  series: PartSeries,
  kinematics: PartKinematics,
  car: Car,
  day: Day,
  errors: LogErrors,
): { powerW: Float64Array; noiseSdW: Float64Array } => {
  const load = roadLoadOf(car, day, errors, series.grade);
  const { slipping, speed, speedScale, speedIsDriven } = kinematics;
  // The sheet's final drive may be moved between calls; the gear stays.
  const overallRatio = kinematics.gearRatio * car.driveline.finalDrive;
  const radius = load.rollingRadiusM;
  const radPerS = (rpm: number) => (rpm * Math.PI) / 30;
  const { slip, slope } = slipOnGrid(series, overallRatio, car, load, errors);
  const noiseSdW = new Float64Array(series.timesS.length);
  const moving = load.massKg + load.undrivenRotatingMassKg;
  const powerW = series.timesS.map((_, i) => {
    const engineSpeedRpm = series.engineSpeedRpm[i]!;
    if (slipping[i]) {
      if (!speed) return Number.NaN;
      const v = speed.speedMPerS[i]! * speedScale;
      const a = speed.slopeMPerS2[i]! * speedScale;
      const engineSpeedSlopeRpmPerS = series.engineSpeedSlopeRpmPerS[i]!;
      const engineSide = radPerS(engineSpeedSlopeRpmPerS) / overallRatio;
      noiseSdW[i] =
        (moving * speed.slopeSdMPerS2[i]! * speedScale * radius * radPerS(engineSpeedRpm)) /
        (overallRatio * load.drivelineEfficiency);
      return crankPowerW(
        {
          engineSpeedRpm,
          engineSpeedSlopeRpmPerS,
          speedMPerS: v,
          accelerationMPerS2: a,
          // Spinning tyres turn with the engine, behind a slipping clutch they turn with the road: the middle of both.
          wheelSlopeRadPerS2: speedIsDriven ? a / radius : (a / radius + engineSide) / 2,
          overallRatio,
        },
        load,
      );
    }
    if (Number.isNaN(slip[i]!)) return Number.NaN;
    const inertia =
      (moving * radius * radius + load.drivenInertiaKgM2) / (overallRatio * overallRatio * load.drivelineEfficiency) +
      load.engineInertiaKgM2;
    noiseSdW[i] = inertia * radPerS(series.engineSpeedSlopeSdRpmPerS[i]!) * radPerS(engineSpeedRpm);
    return crankPowerW(
      rollingMotion(engineSpeedRpm, series.engineSpeedSlopeRpmPerS[i]!, overallRatio, load, slip[i]!, slope[i]!),
      load,
    );
  });
  return { powerW, noiseSdW };
};
