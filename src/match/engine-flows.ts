/**
 * What the engine takes in and gives out, one law for the steady match, part load and the transient: filling, fuel, the
 * charge that the cylinder is asked about, and the enthalpy balance that leaves the exhaust temperature.
 */
import { residualFillingFactor } from '../physics/index.ts';
import type { CylinderAnswer, CylinderCharge } from './cylinder.ts';
import { burnedTemperature, type Prepared } from './prepare.ts';

/** Reference of all enthalpies [K]. */
const REFERENCE_K = 298.15;
/** Exhaust temperature is held in between [K]: beyond, a solution has run away. */
const COLDEST_EXHAUST_K = 450;
const HOTTEST_EXHAUST_K = 1900;

/**
 * Filling over that at equal pressures on both sides [-]: residual gas takes its part of it, by as much as is learned.
 * Source: Eriksson & Nielsen (2014) eq. 4.8.
 */
export const fillingCorrection = (prepared: Prepared, exhaustPa: number, manifoldPa: number): number => {
  const { engine, learned } = prepared.car;
  const full = residualFillingFactor(engine.compressionRatio, exhaustPa / manifoldPa);
  return Math.min(1.4, Math.max(0.2, 1 + learned.residualEffect * (full - 1)));
};

/** Air flow of the engine [kg/s] over manifold pressure and charge temperature [kg K/(s Pa)]: VE V N/2 / R. Definition of VE. */
export const fillingPerPaK = (prepared: Prepared, volumetricEfficiency: number, engineSpeedRpm: number): number =>
  (volumetricEfficiency * prepared.displacementM3 * (engineSpeedRpm / 120)) / prepared.airGasConstant;

/** Everything that goes into the cylinders at one moment; reused between calls. SI. */
export interface EngineFlows {
  airKgPerS: number;
  /** Of the tank, by {@link fuelForLambda}. */
  fuelKgPerS: number;
  /** Injected liquid, and the part of it that has not evaporated before the valves. */
  sprayKgPerS: number;
  liquidKgPerS: number;
  chargeTemperatureK: number;
  lambda: number;
  /** Work that the pistons do on the gas while it changes [W]. */
  pumpingW: number;
}

/** Room for flows, filled for each state asked about. */
export const newEngineFlows = (): EngineFlows => ({
  airKgPerS: 0,
  fuelKgPerS: 0,
  sprayKgPerS: 0,
  liquidKgPerS: 0,
  chargeTemperatureK: 300,
  lambda: 1,
  pumpingW: 0,
});

/** Fuel for a mixture with what the injected methanol burns taken off [kg/s]; none where that alone is enough. Definition of lambda. */
export const fuelForLambda = (prepared: Prepared, airKgPerS: number, lambda: number, sprayKgPerS: number): number =>
  Math.max(
    0,
    ((airKgPerS * prepared.dryAirShare) / lambda - prepared.mixAirFuelRatio * sprayKgPerS) /
      prepared.car.fuel.stoichiometricAirFuelRatio,
  );

/** Writes the charge that the cylinder is asked about, from the flows and the pressures and temperatures beside the valves. */
export const setCharge = (
  prepared: Prepared,
  flows: Readonly<EngineFlows>,
  engineSpeedRpm: number,
  manifoldPa: number,
  exhaustPa: number,
  exhaustK: number,
  charge: CylinderCharge,
): void => {
  const { fuel, facts } = prepared.car;
  const airHeat = flows.airKgPerS * prepared.airSpecificHeat;
  const injectedW = flows.liquidKgPerS * prepared.mixLatentJPerKg;
  charge.engineSpeedRpm = engineSpeedRpm;
  charge.manifoldPressurePa = manifoldPa;
  charge.exhaustPressurePa = exhaustPa;
  charge.chargeTemperatureK = flows.chargeTemperatureK;
  charge.lambda = flows.lambda;
  charge.evaporationCoolingK = (flows.fuelKgPerS * fuel.latentHeatJPerKg + injectedW) / airHeat;
  charge.injectedCoolingK = injectedW / airHeat;
  charge.airPerCycleKg = (flows.airKgPerS * prepared.dryAirShare) / ((engineSpeedRpm / 120) * facts.cylinders);
  charge.exhaustTemperatureK = exhaustK;
};

/** Where the heat goes [W], and what leaves; reused between calls. */
export interface EngineHeat {
  /** That the air could burn at the right mixture. */
  airHeatW: number;
  releasedW: number;
  indicatedW: number;
  wallW: number;
  exhaustKgPerS: number;
  /** Of the exhaust over 298.15 K, and its temperature [K]. */
  enthalpyW: number;
  temperatureK: number;
}

/** Room for heat and gas of the exhaust, filled for each state asked about. */
export const newEngineHeat = (): EngineHeat => ({
  airHeatW: 0,
  releasedW: 0,
  indicatedW: 0,
  wallW: 0,
  exhaustKgPerS: 0,
  enthalpyW: 0,
  temperatureK: 0,
});

/**
 * Enthalpy balance of the engine: exhaust = charge + heat set free - walls - indicated work + pumping - liquids that the
 * heating value, which counts liquid fuel, has not paid for (rich fuel that does not burn, injected liquid).
 * Source: steady-flow energy balance, Heywood (1988) sect. 12.3.
 */
export const exhaustHeat = (
  prepared: Prepared,
  flows: Readonly<EngineFlows>,
  shares: Readonly<Pick<CylinderAnswer, 'heatShare' | 'indicatedEfficiency' | 'wallHeatShare'>>,
  out: EngineHeat,
): EngineHeat => {
  const { airKgPerS, fuelKgPerS, lambda } = flows;
  const airHeat = airKgPerS * prepared.dryAirShare * prepared.cylinder.heatPerAirJPerKg;
  const released = airHeat * shares.heatShare;
  const indicated = airHeat * shares.indicatedEfficiency;
  const wall = released * shares.wallHeatShare;
  const unburned = lambda < 1 ? fuelKgPerS * (1 - lambda) : 0;
  const exhaust = airKgPerS + fuelKgPerS + flows.sprayKgPerS;
  const enthalpy =
    airKgPerS * prepared.airSpecificHeat * (flows.chargeTemperatureK - REFERENCE_K) +
    released -
    wall -
    indicated +
    flows.pumpingW -
    unburned * prepared.car.fuel.latentHeatJPerKg -
    flows.liquidKgPerS * prepared.mixLatentJPerKg;
  out.airHeatW = airHeat;
  out.releasedW = released;
  out.indicatedW = indicated;
  out.wallW = wall;
  out.exhaustKgPerS = exhaust;
  out.enthalpyW = enthalpy;
  out.temperatureK = Math.min(
    HOTTEST_EXHAUST_K,
    Math.max(COLDEST_EXHAUST_K, burnedTemperature(prepared.burned, enthalpy / exhaust)),
  );
  return out;
};
