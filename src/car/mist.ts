/** The injected mist on its way to the valves: how long it flies, and how long its droplets would need. */
import {
  expectSolved,
  METHANOL_KG_PER_M3,
  mistExposureSPerM2,
  sauterMeanDiameterM,
  sheetVelocityMPerS,
  WATER_KG_PER_M3,
  waterMethanolSurfaceTensionNPerM,
  waterMethanolViscosityPaS,
} from '../physics/index.ts';
import type { Car } from './car.ts';

/** Gas constant of air [J/(kg K)]; moisture moves it by less than a per cent. */
const AIR_GAS_CONSTANT = 287.05;
/** Part of the sheet's speed that droplets have against the air: nozzles spray across or along the flow (no source). */
const SLIP_SHARE = 0.7;
/** Temperature of the liquid as it arrives [K]: a tank in the boot or beside the engine on a warm day (no source). */
export const INJECTED_LIQUID_K = 300;

/** Density of a mix [kg/m3] by its parts, shrinking left out (0 to 3 %), methanol by mass [-]. */
const mixDensity = (methanol: number): number => 1 / (methanol / METHANOL_KG_PER_M3 + (1 - methanol) / WATER_KG_PER_M3);

/** What a nozzle and the way behind it are. */
export interface MistWay {
  readonly dropletDiameterM: number;
  readonly nozzleDistanceM: number;
  readonly pumpPressureGaugePa: number;
  readonly methanolMassFraction: number;
  readonly chargePipeDiameterM: number;
  readonly plenumVolumeM3: number;
}

/** The way of a car's mist. */
export const mistWayOf = ({ injection, intake }: Pick<Car, 'injection' | 'intake'>): MistWay => ({
  dropletDiameterM: injection.dropletDiameterM,
  nozzleDistanceM: injection.nozzleDistanceM,
  pumpPressureGaugePa: injection.pumpPressureGaugePa,
  methanolMassFraction: injection.methanolMassFraction,
  chargePipeDiameterM: intake.chargePipeDiameterM,
  plenumVolumeM3: intake.plenumVolumeM3,
});

/** The charge that carries the mist. */
export interface MistCarrier {
  readonly airFlowKgPerS: number;
  readonly pressurePa: number;
  readonly temperatureK: number;
  readonly boostPa: number;
}

/** How long the mist is under way [s]: pipe from the nozzle to the plenum, and the plenum, at the speed of the charge. */
export const mistTimeS = (way: MistWay, carrier: MistCarrier): number => {
  const volume = 0.25 * Math.PI * way.chargePipeDiameterM ** 2 * way.nozzleDistanceM + way.plenumVolumeM3;
  return (
    (volume * carrier.pressurePa) / (AIR_GAS_CONSTANT * carrier.temperatureK * Math.max(1e-4, carrier.airFlowKgPerS))
  );
};

/** Exposure of the mist [s/m2]: time over diameter squared, with what its speed against the air adds; see {@link mistExposureSPerM2}. */
export const mistExposureOf = (way: MistWay, carrier: MistCarrier): number => {
  const density = mixDensity(Math.min(1, Math.max(0, way.methanolMassFraction)));
  return mistExposureSPerM2({
    diameterM: way.dropletDiameterM,
    residenceTimeS: mistTimeS(way, carrier),
    slipMPerS: SLIP_SHARE * sheetVelocityMPerS(way.pumpPressureGaugePa - carrier.boostPa, density),
    liquidDensityKgPerM3: density,
    airDensityKgPerM3: carrier.pressurePa / (AIR_GAS_CONSTANT * carrier.temperatureK),
  });
};

/** Boost and air density at which the droplets of a nobody-typed nozzle are worked out: 100 kPa of boost at 50 degC. */
const REFERENCE_BOOST_PA = 100e3;
const REFERENCE_AIR_DENSITY = 2.16;

/** Sauter mean diameter [m] of a nozzle from its flow [m3/s], pump pressure [Pa gauge] and mix, at 100 kPa of boost. Source: {@link sauterMeanDiameterM}. */
export const usualDropletDiameterM = (
  nozzleFlowM3PerS: number,
  pumpPressureGaugePa: number,
  methanol: number,
): number => {
  const share = Math.min(1, Math.max(0, methanol));
  return sauterMeanDiameterM({
    surfaceTensionNPerM: expectSolved(waterMethanolSurfaceTensionNPerM(share)),
    liquidViscosityPaS: expectSolved(waterMethanolViscosityPaS(share)),
    massFlowKgPerS: Math.max(1e-6, nozzleFlowM3PerS) * mixDensity(share),
    differentialPa: Math.max(50e3, pumpPressureGaugePa - REFERENCE_BOOST_PA),
    airDensityKgPerM3: REFERENCE_AIR_DENSITY,
  });
};
