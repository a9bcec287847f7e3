/** What the injected mix does at one matched engine speed: its share of the fuel, how far it dries and why no further. */
import { type Car, INJECTED_LIQUID_K, mistExposureOf, mistTimeS, mistWayOf } from '../car/index.ts';
import { dryMist, type MistLimit, mistLimit, settledMist } from '../physics/index.ts';
import { type Prepared, prepare } from './prepare.ts';
import { evaporatedShare } from './spray.ts';
import type { Conditions, MatchPoint } from './types.ts';

/** The mix at one engine speed of one car. SI, per second where it flows. */
export interface InjectionState {
  readonly engineSpeedRpm: number;
  readonly boostPa: number;
  readonly injectionFlowKgPerS: number;
  readonly injectionVolumeFlowM3PerS: number;
  /** Mix over petrol (or whatever is in the tank) by mass and by volume [-]. */
  readonly shareOfFuelByMass: number;
  readonly shareOfFuelByVolume: number;
  /** Part of all that burns' demand for air that the methanol of the mix covers [-]. */
  readonly shareOfMixture: number;
  /** Lambda if the engine computer took nothing off the fuel for the methanol. */
  readonly lambdaUncorrected: number;
  readonly chargeBeforeK: number;
  readonly chargeAfterK: number;
  /** Share of the mix's latent heat taken from the charge before the valves [-]; the rest cools in the cylinder. */
  readonly coolingShare: number;
  /** By droplets and their time at this state [-]; what the sheet typed does not change these. */
  readonly waterEvaporated: number;
  readonly methanolEvaporated: number;
  readonly flightTimeS: number;
  readonly limit: MistLimit;
  /** Most that saturation would allow with all the time in the world [-]. */
  readonly saturationShare: number;
  /** Latent heat that goes on into the cylinder, over the air [J/kg air]. */
  readonly latentLeftJPerKgAir: number;
}

/** Charge before the spray: what came out less what the mist took. A few rounds of its own law. */
const chargeBefore = (prepared: Prepared, point: MatchPoint, latentRise: number): number => {
  let before = point.chargeTemperatureK;
  for (let round = 0; round < 30; round++) {
    const share = evaporatedShare(
      prepared,
      before,
      point.manifoldPressurePa,
      point.injectionFlowKgPerS / point.airFlowKgPerS,
    );
    const next = point.chargeTemperatureK + share * latentRise;
    if (Math.abs(next - before) < 1e-6) break;
    before = next;
  }
  return before;
};

/** The mix at a matched point of a car; null where nothing is injected. */
export const injectionStateAt = (car: Car, conditions: Conditions, point: MatchPoint): InjectionState | null => {
  const spray = point.injectionFlowKgPerS;
  if (!(spray > 0)) return null;
  const prepared = prepare(car, conditions);
  const { fuel, injection } = car;
  const air = point.airFlowKgPerS;
  const latentRise = (spray * prepared.mixLatentJPerKg) / (air * prepared.airSpecificHeat);
  const beforeK = chargeBefore(prepared, point, latentRise);
  const share = latentRise > 0 ? (beforeK - point.chargeTemperatureK) / latentRise : 0;
  const methanolMassFraction = Math.min(1, Math.max(0, injection.methanolMassFraction));
  const mist = {
    pressurePa: point.manifoldPressurePa,
    temperatureK: beforeK,
    humidityRatio: prepared.humidityRatio,
    liquidPerAir: spray / (air * prepared.dryAirShare),
    methanolMassFraction,
    liquidTemperatureK: INJECTED_LIQUID_K,
  };
  const way = mistWayOf(car);
  const carrier = {
    airFlowKgPerS: air,
    pressurePa: point.manifoldPressurePa,
    temperatureK: beforeK,
    boostPa: point.boostPa,
  };
  const dried = dryMist(mist, mistExposureOf(way, carrier));
  const settled = settledMist(mist);
  const dryAir = air * prepared.dryAirShare;
  const needed = dryAir / point.lambda;
  const fromMix = prepared.mixAirFuelRatio * spray;
  // Fuel as the engine computer would meter it without knowing of the mix.
  const unknowing = needed / fuel.stoichiometricAirFuelRatio;
  return {
    engineSpeedRpm: point.engineSpeedRpm,
    boostPa: point.boostPa,
    injectionFlowKgPerS: spray,
    injectionVolumeFlowM3PerS: spray / prepared.mixDensity,
    shareOfFuelByMass: point.fuelFlowKgPerS > 0 ? spray / point.fuelFlowKgPerS : 0,
    shareOfFuelByVolume:
      point.fuelFlowKgPerS > 0 ? spray / prepared.mixDensity / (point.fuelFlowKgPerS / fuel.densityKgPerM3) : 0,
    shareOfMixture: fromMix / needed,
    lambdaUncorrected: dryAir / (unknowing * fuel.stoichiometricAirFuelRatio + fromMix),
    chargeBeforeK: beforeK,
    chargeAfterK: point.chargeTemperatureK,
    coolingShare: share,
    waterEvaporated: Math.max(0, dried.waterEvaporated),
    methanolEvaporated: dried.methanolEvaporated,
    flightTimeS: mistTimeS(way, carrier),
    limit: mistLimit(dried, settled),
    saturationShare: Math.min(1, Math.max(0, settled.coolingShare)),
    latentLeftJPerKgAir: ((1 - share) * spray * prepared.mixLatentJPerKg) / air,
  };
};
