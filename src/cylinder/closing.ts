/** From manifold to cylinder: what is trapped, how much of it is burned gas, how warm it is when the intake valve closes. */
import { residualGasMassKg } from '../physics/index.ts';
import type { Cylinder } from './cylinder.ts';
import type { CycleCharge, CycleFuel } from './types.ts';

/** What the match knows of the gas on both sides of the valves. */
export interface PortState {
  readonly engineSpeedRpm: number;
  /** Dry air trapped in one cylinder [kg]. */
  readonly airKg: number;
  readonly manifoldPressurePa: number;
  readonly chargeTemperatureK: number;
  readonly exhaustPressurePa: number;
  /** Of the gas that stays behind [K]; the exhaust temperature of a solution before, or 1150. */
  readonly exhaustTemperatureK: number;
  readonly lambda: number;
  readonly fuel: CycleFuel;
  readonly waterPerAir: number;
  /** Fuel and injected liquid that evaporate before the valve closes: latent heat over the air's specific heat [K]. */
  readonly evaporationCoolingK: number;
  /** Heat taken up by liquids after closing, over dry air [J/kg]. */
  readonly evaporationJPerKgAir: number;
}

/** A charge that may be written. */
export type WritableCharge = { -readonly [K in keyof CycleCharge]: CycleCharge[K] };

/** Part of the way to the walls' temperature that fresh charge goes in port and cylinder [-] (no source; 10 to 30 K is usual). */
const CHARGE_WARMING = 0.3;
/** Walls that warm fresh charge, port and valve and cylinder together [K] (common practice, no source). */
const INTAKE_WALL_K = 380;
/** Specific heat of burned gas at 900 K over that of fresh mixture at 350 K [-]. Source: GRI-Mech 3.0 gases of this room. */
const RESIDUAL_HEAT_RATIO = 1.16;
/** Exponent of the temperature when residual gas expands to the manifold's pressure, (k - 1) / k with k = 1.3. */
const EXPANSION = 0.23;

/**
 * Charge trapped from the states in the ports.
 *
 * Residual gas fills the clearance volume at the exhaust's state; fresh charge is cooled by evaporation and warmed by
 * 0.3 of its distance to walls at 380 K; both mix by heat capacity.
 *
 * @param cylinder made ready
 * @param port states beside the valves [SI]
 * @param out the charge, overwritten
 * @returns `out`
 * Source: energy balance; residual Heywood (1988) sect. 6.4, without back-flow in the overlap.
 */
export const trapCharge = (cylinder: Cylinder, port: PortState, out: WritableCharge): WritableCharge => {
  const fresh = port.airKg * (1 + 1 / (port.lambda * port.fuel.stoichiometricAirFuelRatio) + port.waterPerAir);
  const residual = residualGasMassKg(port.exhaustPressurePa, port.exhaustTemperatureK, cylinder.clearanceM3);
  const share = Math.min(0.5, residual / (fresh + residual));
  const cooled = port.chargeTemperatureK - port.evaporationCoolingK;
  const freshK = Math.max(240, cooled + CHARGE_WARMING * (INTAKE_WALL_K - cooled));
  const expansion = port.manifoldPressurePa / port.exhaustPressurePa;
  const residualK = port.exhaustTemperatureK * (expansion < 1 ? expansion ** EXPANSION : 1);
  out.engineSpeedRpm = port.engineSpeedRpm;
  out.airKg = port.airKg;
  out.residualFraction = share;
  out.temperatureK =
    ((1 - share) * freshK + share * RESIDUAL_HEAT_RATIO * residualK) / (1 - share + share * RESIDUAL_HEAT_RATIO);
  out.lambda = port.lambda;
  out.fuel = port.fuel;
  out.waterPerAir = port.waterPerAir;
  out.evaporationJPerKgAir = port.evaporationJPerKgAir;
  out.exhaustPressurePa = port.exhaustPressurePa;
  return out;
};

/** An empty charge of a fuel, to be written by {@link trapCharge} [SI]. */
export const newCharge = (fuel: CycleFuel): WritableCharge => ({
  engineSpeedRpm: 0,
  airKg: 0,
  temperatureK: 0,
  residualFraction: 0,
  lambda: 1,
  fuel,
  waterPerAir: 0,
  evaporationJPerKgAir: 0,
  exhaustPressurePa: 0,
});
