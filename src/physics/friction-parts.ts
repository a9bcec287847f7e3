/**
 * Friction of a warm spark-ignition engine part by part, from its dimensions: the scaling laws of Patton, Nitschke &
 * Heywood with the oil, ring and roughness terms that Sandoval & Heywood added. Gas exchange is not in it.
 */

/** How the valves are worked: what the constants of the valve train belong to. */
export type ValveTrain = 'overhead, bucket' | 'overhead, roller finger' | 'overhead, one cam' | 'pushrod, roller';

/** What the law asks of an engine. */
export interface FrictionEngine {
  readonly cylinders: number;
  readonly boreM: number;
  readonly strokeM: number;
  readonly compressionRatio: number;
  readonly mainBearings: number;
  readonly mainBearingDiameterM: number;
  readonly mainBearingLengthM: number;
  readonly rodBearingDiameterM: number;
  readonly rodBearingLengthM: number;
  readonly camBearings: number;
  readonly valves: number;
  readonly valveLiftM: number;
  readonly valveTrain: ValveTrain;
  /** Viscosity of the warm oil over the law's reference (10.6 mm2/s: 10W-30 at 90 degC) [-]. */
  readonly oilViscosityRatio: number;
  /** Ring tension over that of the 1980s engines of the first paper [-]. */
  readonly ringTension: number;
}

/** Mean effective pressures [Pa]. */
export interface FrictionByPart {
  readonly crankPa: number;
  readonly pistonsPa: number;
  readonly gasLoadPa: number;
  readonly valveTrainPa: number;
  /** Oil pump, water pump and an alternator that does not charge. */
  readonly auxiliariesPa: number;
  readonly totalPa: number;
}

/**
 * Constants of the valve trains: flat follower [kPa mm], roller follower [kPa mm min], oscillating hydrodynamic
 * [kPa mm^0.5 min^0.5], oscillating mixed [kPa]. Source: Sandoval (2002) table 4.2 after Patton et al. (1989); the roller of
 * the pushrod engine is that of the overhead rocker (its own is misprinted there).
 */
const TRAINS: Readonly<Record<ValveTrain, readonly [number, number, number, number]>> = {
  'overhead, bucket': [133, 0, 0.5, 10.7],
  'overhead, roller finger': [0, 0.0227, 0.2, 25.8],
  'overhead, one cam': [0, 0.0151, 0.5, 21.4],
  'pushrod, roller': [0, 0.0151, 0.5, 32.1],
};

/** Speed up to which solid touches solid [rpm]: 500 in Sandoval & Heywood, 1000 in the first paper. */
const BOUNDARY_RPM = 500;

/**
 * Friction mean effective pressure by part.
 *
 * Equations (B, S, Db, Lb, Lv in mm, N in rpm, Sp in m/s, answer in kPa; v = square root of the oil's viscosity ratio,
 * F = ring tension, b = 1 + 500/N):
 * crank 1.22e5 Db/(B2 S n) + 3.03e-4 v N Db3 Lb nb/(B2 S n) + 1.35e-10 Db2 N2 nb/n;
 * pistons 294 v Sp/B + 4.06e4 F b/B2 + 3.03e-4 v N Dr3 Lr n/(B2 S n);
 * gas load 6.89 (pi/pa) (0.088 v r + 0.182 F r^(1.33 - 0.0238 Sp));
 * valve train 4.12 + 244 v N nc/(B2 S n) + (Cff b or Crf N) nv/(S n) + Coh v Lv^1.5 N^0.5 nv/(B S n) + Com b Lv nv/(S n);
 * auxiliaries 8.32 + 1.86e-3 N + 7.45e-7 N2.
 *
 * @param engine dimensions and oil
 * @param engineSpeedRpm [rpm], 1000 to 6000 (data behind it)
 * @param manifoldOverAmbient manifold over outside pressure [-], up to 1 (data behind it); boosted it goes on straight
 * @returns mean effective pressures [Pa]
 * Source: Patton, Nitschke & Heywood, SAE 890836 (1989); Sandoval & Heywood, SAE 2003-01-0725, as in D. Sandoval's thesis
 * (MIT 2002) eq. 7 to 11. The exponent's constant is the first paper's.
 */
export const frictionByPart = (
  engine: FrictionEngine,
  engineSpeedRpm: number,
  manifoldOverAmbient: number,
): FrictionByPart => {
  const n = engine.cylinders;
  const rpm = Math.max(300, engineSpeedRpm);
  const bore = 1e3 * engine.boreM;
  const stroke = 1e3 * engine.strokeM;
  const pistonSpeed = (2 * engine.strokeM * rpm) / 60;
  const main = 1e3 * engine.mainBearingDiameterM;
  const rod = 1e3 * engine.rodBearingDiameterM;
  const lift = 1e3 * engine.valveLiftM;
  const oil = Math.sqrt(engine.oilViscosityRatio);
  const boundary = 1 + BOUNDARY_RPM / rpm;
  const swept = bore * bore * stroke * n;
  const crank =
    (1.22e5 * main) / swept +
    (3.03e-4 * oil * rpm * main ** 3 * 1e3 * engine.mainBearingLengthM * engine.mainBearings) / swept +
    (1.35e-10 * main * main * rpm * rpm * engine.mainBearings) / n;
  const pistons =
    (294 * oil * pistonSpeed) / bore +
    (4.06e4 * engine.ringTension * boundary) / (bore * bore) +
    (3.03e-4 * oil * rpm * rod ** 3 * 1e3 * engine.rodBearingLengthM * n) / swept;
  const ratio = engine.compressionRatio;
  const gasLoad =
    6.89 *
    manifoldOverAmbient *
    (0.088 * oil * ratio + 0.182 * engine.ringTension * ratio ** (1.33 - 0.0238 * pistonSpeed));
  const [flat, roller, hydrodynamic, mixed] = TRAINS[engine.valveTrain];
  const valves =
    4.12 +
    (244 * oil * rpm * engine.camBearings) / swept +
    ((flat * boundary + roller * rpm) * engine.valves) / (stroke * n) +
    (hydrodynamic * oil * lift ** 1.5 * Math.sqrt(rpm) * engine.valves) / (bore * stroke * n) +
    (mixed * boundary * lift * engine.valves) / (stroke * n);
  const auxiliaries = 8.32 + 1.86e-3 * rpm + 7.45e-7 * rpm * rpm;
  return {
    crankPa: 1e3 * crank,
    pistonsPa: 1e3 * pistons,
    gasLoadPa: 1e3 * gasLoad,
    valveTrainPa: 1e3 * valves,
    auxiliariesPa: 1e3 * auxiliaries,
    totalPa: 1e3 * (crank + pistons + gasLoad + valves + auxiliaries),
  };
};

/**
 * Work lost in the flow past the valves as a mean effective pressure [Pa]:
 * 4.12e-3 kPa (pi/pa Sp)2 ((B2/(ni Di2))2 + (B2/(ne De2))2).
 *
 * @param meanPistonSpeed [m/s]
 * @param manifoldOverAmbient manifold over outside pressure [-]
 * @param intakeValveAreaShare intake valves' ni Di2/B2 [-]: about 0.27 of two, 0.20 of one
 * @param exhaustValveAreaShare exhaust valves' ne De2/B2 [-]: about 0.20 of two, 0.15 of one
 * Source: Patton, Nitschke & Heywood, SAE 890836 (1989), valve pumping term (from memory).
 */
export const valvePumpingPa = (
  meanPistonSpeed: number,
  manifoldOverAmbient: number,
  intakeValveAreaShare: number,
  exhaustValveAreaShare: number,
): number =>
  4.12 * (manifoldOverAmbient * meanPistonSpeed) ** 2 * (intakeValveAreaShare ** -2 + exhaustValveAreaShare ** -2);
