/** Charge temperature along a logged drive: the cooler's core driven by logged engine speed, pressure and road speed. */
import type { Car, ResolvedBuild } from '../../car/index.ts';
import { withSample } from '../../car/index.ts';
import { compressorAt, correctedMassFlowKgPerS, newCompressorState } from '../../physics/index.ts';
import { curveAt, type Prepared, prepare } from '../prepare.ts';
import { normalSamples } from '../sampling.ts';
import { evaporatedShare } from '../spray.ts';
import type { Conditions } from '../types.ts';
import { bandOf } from '../uncertain.ts';
import { coldConductanceWPerK, coreAfter } from './core.ts';
import { CORE_START_OVER_AMBIENT_K } from './start.ts';

/** A drive on an even grid of time. A reading that is missing is not a number and holds its last. */
export interface LoggedDrive {
  readonly timesS: ArrayLike<number>;
  readonly engineSpeedsRpm: ArrayLike<number>;
  readonly manifoldPressuresPa: ArrayLike<number>;
  readonly roadSpeedsMPerS: ArrayLike<number>;
}

/** Lag of a sensor in the charge pipe [s] and its plus-minus (ln): usual for an open element in the flow (no source). */
const SENSOR_LAG_S = 1.5;
const SENSOR_LAG_SPREAD = 0.4;
/** Core over outside air where the log begins [K], and its plus-minus: nobody knows what came before. */
const START_SPREAD_K = 4;
const LEAST_RPM = 400;

const compressor = newCompressorState();

/** Compressor outlet [K] and spray cooling [K] at a logged state, with the air flow [kg/s] by speed and pressure. */
const hotSide = (
  prepared: Prepared,
  rpm: number,
  pm: number,
  tc: number,
  out: { t2: number; air: number; spray: number },
) => {
  const { car, conditions, airSpecificHeat: cp, airGasConstant: R } = prepared;
  const ambientPa = conditions.ambientPressurePa;
  const ambientK = conditions.ambientTemperatureK;
  const air = (curveAt(car.curves.volumetricEfficiency, rpm) * prepared.displacementM3 * rpm * pm) / (120 * R * tc);
  out.air = air;
  out.spray = 0;
  out.t2 = ambientK;
  const density = pm / (R * tc);
  const p1 = Math.max(
    0.3 * ambientPa,
    ambientPa - (prepared.filterLossPerFlow2 * air * air * 1.2 * R * ambientK) / ambientPa,
  );
  const loss =
    (prepared.throttleLossPerFlow2 * air * air) / density +
    (prepared.coolerLossPerFlow2 * air * air * prepared.coolerReferenceDensity) / density;
  const ratio = (pm + loss) / p1;
  if (ratio > 1.02) {
    const reference = {
      temperatureK: prepared.surface.referenceTemperatureK,
      pressurePa: prepared.surface.referencePressurePa,
    };
    const corrected = correctedMassFlowKgPerS(air, ambientK, p1, reference);
    compressorAt(prepared.surface, corrected, ratio, prepared.scale, compressor);
    out.t2 = ambientK * (1 + compressor.workRatio);
  }
  const { injection } = car;
  const boostPa = pm - ambientPa;
  if (car.facts.hasInjection && boostPa > injection.startBoostGaugePa && injection.nozzleFlowM3PerS > 0) {
    const push = (injection.pumpPressureGaugePa - boostPa) / injection.pumpPressureGaugePa;
    if (push > 0) {
      const spray = injection.nozzleFlowM3PerS * Math.sqrt(push) * prepared.mixDensity;
      const latentRise = (spray * prepared.mixLatentJPerKg) / (air * cp);
      out.spray = latentRise * evaporatedShare(prepared, tc, pm, spray / air);
    }
  }
};

/**
 * Charge temperature as a sensor of this lag would show it, row by row [K].
 *
 * Heat into the core by flow, effectiveness and compressor outlet at the logged pressure; out of it by road speed; from
 * `startCoreK` where the log begins. Below boost the compressor adds nothing. Rows without readings hold the last.
 * Source: as the steady match, with {@link coreAfter}.
 */
const chargeAlong = (
  car: Car,
  conditions: Conditions,
  drive: LoggedDrive,
  startCoreK: number,
  sensorLagS: number,
): Float64Array => {
  const prepared = prepare(car, conditions);
  const { chargeCooler, curves } = car;
  const ambientK = conditions.ambientTemperatureK;
  const rows = drive.timesS.length;
  const out = new Float64Array(rows);
  const hot = { t2: ambientK, air: 0, spray: 0 };
  let core = startCoreK;
  let gas = startCoreK;
  let shown = startCoreK;
  let [rpm, pm, speed] = [800, 0.4 * conditions.ambientPressurePa, 0];
  for (let i = 0; i < rows; i++) {
    const dt = i === 0 ? 0 : Math.max(0, drive.timesS[i]! - drive.timesS[i - 1]!);
    const given = drive.engineSpeedsRpm[i]!;
    if (Number.isFinite(given)) rpm = given;
    if (Number.isFinite(drive.manifoldPressuresPa[i]!)) pm = Math.max(10e3, drive.manifoldPressuresPa[i]!);
    if (Number.isFinite(drive.roadSpeedsMPerS[i]!)) speed = Math.max(0, drive.roadSpeedsMPerS[i]!);
    if (rpm > LEAST_RPM) hotSide(prepared, rpm, pm, gas, hot);
    else hot.air = 0;
    const share = Math.min(0.98, Math.max(0, curveAt(curves.effectiveness, hot.air)));
    core = coreAfter(
      core,
      chargeCooler.coreHeatCapacityJPerK,
      hot.air * prepared.airSpecificHeat * share,
      hot.t2,
      coldConductanceWPerK(chargeCooler, speed),
      ambientK,
      dt,
    );
    gas = Math.max(220, hot.t2 - share * (hot.t2 - core) - hot.spray);
    shown += (gas - shown) * (1 - Math.exp(-dt / Math.max(1e-3, sensorLagS)));
    out[i] = shown;
  }
  return out;
};

export interface BandedTrace {
  readonly p10: Float64Array;
  readonly p50: Float64Array;
  readonly p90: Float64Array;
}

/**
 * {@link chargeAlong} with bands. `startK`: what the sensor showed where the log begins; a few kelvin over outside when
 * absent. Seeded: the same build and drive give the same bands.
 */
export const chargeAlongWithBands = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  drive: LoggedDrive,
  options: { readonly startK?: number | undefined; readonly samples?: number; readonly seed?: number } = {},
): BandedTrace => {
  const { samples = 32, seed = 1 } = options;
  const inputs = resolved.inputs.length;
  const width = inputs + 2;
  const normals = normalSamples(samples, width, seed);
  const start = options.startK ?? conditions.ambientTemperatureK + CORE_START_OVER_AMBIENT_K;
  const runs = Array.from({ length: samples }, (_, i) => {
    const row = normals.subarray(i * width, (i + 1) * width);
    return chargeAlong(
      withSample(resolved, row.subarray(0, inputs)),
      conditions,
      drive,
      start + START_SPREAD_K * row[inputs]!,
      SENSOR_LAG_S * Math.exp(SENSOR_LAG_SPREAD * row[inputs + 1]!),
    );
  });
  const rows = drive.timesS.length;
  const made = { p10: new Float64Array(rows), p50: new Float64Array(rows), p90: new Float64Array(rows) };
  const column = new Float64Array(samples);
  for (let i = 0; i < rows; i++) {
    for (let k = 0; k < samples; k++) column[k] = runs[k]![i]!;
    const band = bandOf(column) ?? { p10: start, p50: start, p90: start };
    made.p10[i] = band.p10;
    made.p50[i] = band.p50;
    made.p90[i] = band.p90;
  }
  return made;
};
