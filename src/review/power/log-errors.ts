/** What a log itself does not tell: errors of its sensors and of the road, each with the spread it is taken to have. */

/** One value of everything unknown about a log and a road; nought (or `NO_ERRORS`) is the best guess. */
export interface LogErrors {
  /** Relative error of the manifold pressure reading, and its offset [Pa]. */
  readonly manifoldPressureGain: number;
  readonly manifoldPressureOffsetPa: number;
  /** Offset of the charge temperature reading [K] and of its time constant [s]. */
  readonly chargeTemperatureK: number;
  readonly chargeTemperatureLagS: number;
  readonly lambdaGain: number;
  readonly airFlowGain: number;
  /** Error of the rail pressure over the injectors [Pa]. */
  readonly fuelPressurePa: number;
  /** Relative error of the exhaust pressure above outside. */
  readonly exhaustPressureGain: number;
  /** Error of the best-torque timing [deg] and of the timing where none was logged (share of the torque). */
  readonly bestTimingDeg: number;
  readonly unloggedTiming: number;
  readonly injectionFlowGain: number;
  readonly airDensityGain: number;
  /** Road rise per length, and wind against the car [m/s]. */
  readonly grade: number;
  readonly headWindMPerS: number;
  /** Relative error of the slip that a tyre needs for its force. */
  readonly tyreSlipGain: number;
  /** Relative error of how rolling resistance grows with speed. */
  readonly rollingGrowthGain: number;
  /** Tyre slip where the clutch comes home after a shift less half of the steady one, as a share of that: even between none and all of it. */
  readonly startSlip: number;
  /** Relative error of how a tyre's radius grows with speed. */
  readonly tyreGrowthGain: number;
  /** What accessories take more than is usual [W]. */
  readonly accessoryPowerW: number;
}

export const NO_ERRORS: LogErrors = {
  manifoldPressureGain: 0,
  manifoldPressureOffsetPa: 0,
  chargeTemperatureK: 0,
  chargeTemperatureLagS: 0,
  lambdaGain: 0,
  airFlowGain: 0,
  fuelPressurePa: 0,
  exhaustPressureGain: 0,
  bestTimingDeg: 0,
  unloggedTiming: 0,
  injectionFlowGain: 0,
  airDensityGain: 0,
  grade: 0,
  headWindMPerS: 0,
  tyreSlipGain: 0,
  rollingGrowthGain: 0,
  tyreGrowthGain: 0,
  accessoryPowerW: 0,
  startSlip: 0,
};

/** Which of the log's doubtful inputs were measured; the rest is assumed and so is wider. */
export interface Known {
  readonly exhaustPressure: boolean;
  readonly fuelPressure: boolean;
  readonly ambientTemperature: boolean;
  readonly lambda: boolean;
}

/**
 * One standard deviation of each error. Sensor classes: manifold pressure 0.5 % and 0.5 kPa, charge temperature 1 K,
 * wideband 0.8 %, airflow meter 2 % (usual data-sheet accuracies; common practice, no source). Road: a grade of 1 %, which
 * the log may narrow ({@link narrowedGrade}); no coast-down standard would allow it (SAE J1263: 0.5 %; from memory), but nobody
 * surveys a public road. Wind 2.5 m/s against the car (mean wind over open land 3 to 5 m/s at 10 m height, about half of it at
 * the height of a car, from any side; common practice, no source).
 */
export const errorSpreads = (known: Known): LogErrors => ({
  manifoldPressureGain: 0.005,
  manifoldPressureOffsetPa: 500,
  chargeTemperatureK: 1,
  chargeTemperatureLagS: 0.5,
  lambdaGain: known.lambda ? 0.008 : 0.04,
  airFlowGain: 0.02,
  fuelPressurePa: known.fuelPressure ? 4e3 : 10e3,
  exhaustPressureGain: known.exhaustPressure ? 0.01 : 0.1,
  bestTimingDeg: 1.2,
  unloggedTiming: 0.02,
  injectionFlowGain: 0.06,
  airDensityGain: known.ambientTemperature ? 0.006 : 0.03,
  grade: 0.01,
  headWindMPerS: 2.5,
  tyreSlipGain: 0.2,
  rollingGrowthGain: 0.5,
  tyreGrowthGain: 1,
  accessoryPowerW: 700,
  startSlip: 0.29,
});
