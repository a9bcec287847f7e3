/** What is kept of a run in time, row by row. */
import type { AirState } from './air-path.ts';

/** A run in time, row by row. SI; boost over outside. */
export interface PullRecord {
  readonly timesS: number[];
  readonly engineSpeedsRpm: number[];
  readonly roadSpeedsMPerS: number[];
  readonly boostPa: number[];
  readonly boostTargetPa: number[];
  readonly shaftSpeedsRpm: number[];
  readonly airFlowsKgPerS: number[];
  readonly chargeTemperaturesK: number[];
  readonly outletTemperaturesK: number[];
  readonly wastegateOpenings: number[];
  /** What the mist takes from the charge after the cooler [K]. */
  readonly sprayCoolingK: number[];
  peakShaftRpm: number;
  peakOutletK: number;
  /** Why it ended. */
  end: 'rev limit' | 'time' | 'arrived' | 'stalled';
  /** False where a number ran away: nothing of the record is to be used. */
  sound: boolean;
}

export const newRecord = (): PullRecord => ({
  timesS: [],
  engineSpeedsRpm: [],
  roadSpeedsMPerS: [],
  boostPa: [],
  boostTargetPa: [],
  shaftSpeedsRpm: [],
  airFlowsKgPerS: [],
  chargeTemperaturesK: [],
  outletTemperaturesK: [],
  wastegateOpenings: [],
  sprayCoolingK: [],
  peakShaftRpm: 0,
  peakOutletK: 0,
  end: 'time',
  sound: true,
});

/** Writes the state as one more row; pressures become boost over the air outside [Pa]. */
export const addRow = (record: PullRecord, s: AirState, ambientPa: number): void => {
  record.timesS.push(s.timeS);
  record.engineSpeedsRpm.push(s.engineSpeedRpm);
  record.roadSpeedsMPerS.push(s.roadSpeedMPerS);
  record.boostPa.push(s.manifoldPressurePa - ambientPa);
  record.boostTargetPa.push(s.targetPa - ambientPa);
  record.shaftSpeedsRpm.push((s.shaftRadPerS * 30) / Math.PI);
  record.airFlowsKgPerS.push(s.engineFlowKgPerS);
  record.chargeTemperaturesK.push(s.chargeTemperatureK);
  record.outletTemperaturesK.push(s.compressorOutletK);
  record.wastegateOpenings.push(s.wastegateOpening);
  record.sprayCoolingK.push(s.sprayCoolingK);
};

/** Whether what the run is steered by is a number: a run that left its range ends with a reason, not with NaN. */
export const isSoundState = (s: AirState): boolean =>
  Number.isFinite(s.manifoldPressurePa + s.shaftRadPerS + s.chargeTemperatureK + s.brakeTorqueNm + s.exhaustPressurePa);
