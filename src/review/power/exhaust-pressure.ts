/** Exhaust pressure where none was logged: the pressure at which the turbine gives what the compressor takes. */
import type { Car } from '../../car/index.ts';
import { EXHAUST_GAS, isentropicDrop, nozzleFlowFunction } from '../../physics/index.ts';

export interface ShaftState {
  readonly airFlowKgPerS: number;
  readonly fuelFlowKgPerS: number;
  readonly barometricPressurePa: number;
  readonly ambientTemperatureK: number;
  readonly manifoldPressurePa: number;
  /** NaN: estimated from the pressure ratio. */
  readonly compressorOutletTemperatureK: number;
  /** NaN: estimated. */
  readonly exhaustTemperatureK: number;
}

/** Usual compressor efficiency over a pull, where no outlet temperature was logged (common practice, no source). */
const USUAL_COMPRESSOR_EFFICIENCY = 0.72;
/** Part of the turbine's best efficiency that a pull sees on average (common practice, no source). */
const USUAL_OF_BEST_TURBINE_EFFICIENCY = 0.93;
/** Gas before the turbine of a petrol engine at full load [K] (common practice, no source). */
const USUAL_EXHAUST_TEMPERATURE_K = 1150;
const AIR_SPECIFIC_HEAT_J_PER_KG_K = 1006;

const compressorPowerW = (car: Car, state: ShaftState): number => {
  const flow = state.airFlowKgPerS;
  const share = (flow / car.chargeCooler.referenceFlowKgPerS) ** 2;
  const inlet = state.barometricPressurePa - car.intake.filterPressureDropPa * share;
  const outlet = Math.max(inlet, state.manifoldPressurePa + car.chargeCooler.pressureDropPa * share);
  const byPressure = ((outlet / inlet) ** 0.2857 - 1) / USUAL_COMPRESSOR_EFFICIENCY;
  const logged = state.compressorOutletTemperatureK - state.ambientTemperatureK;
  const ideal = state.ambientTemperatureK * byPressure;
  // A slow sensor lags behind in a short pull: it is believed only where it is near what the pressure asks for.
  const riseK = logged > 0.85 * ideal && logged < 1.5 * ideal ? logged : ideal;
  return flow * AIR_SPECIFIC_HEAT_J_PER_KG_K * riseK;
};

/**
 * Pressure before the turbine, absolute [Pa]: where m_t cp T3 eta (1 - (p4/p3)^((k-1)/k)) = P_compressor, with
 * m_t = min(exhaust flow, nozzle flow at p3). The waste gate passes the rest and need not be known.
 *
 * @param car turbine area and efficiency, exhaust pressure drop
 * @param state of the moment; pressures absolute
 * @returns [Pa], not below the pressure after the turbine; where even all of the exhaust cannot give the power
 * (boost falling, or a wrong reading) the pressure at which all of it goes through the turbine
 * Source: power balance of the shaft; nozzle flow Heywood (1988) app. C.
 */
export const exhaustPressureByShaftPa = (car: Car, state: ShaftState): number => {
  const gas = state.airFlowKgPerS + state.fuelFlowKgPerS;
  const afterPa =
    state.barometricPressurePa + car.exhaust.pressureDropPa * (gas / car.exhaust.referenceFlowKgPerS) ** 2;
  const inletK = Number.isFinite(state.exhaustTemperatureK) ? state.exhaustTemperatureK : USUAL_EXHAUST_TEMPERATURE_K;
  const { turbineEfficiency, mechanicalEfficiency, turbineEffectiveAreaM2 } = car.turbocharger;
  const efficiency = turbineEfficiency * mechanicalEfficiency * USUAL_OF_BEST_TURBINE_EFFICIENCY;
  const wantedW = compressorPowerW(car, state);
  const nozzle = (p3: number) =>
    ((turbineEffectiveAreaM2 * p3) / Math.sqrt(EXHAUST_GAS.gasConstantJPerKgK * inletK)) *
    nozzleFlowFunction(afterPa / p3, EXHAUST_GAS.heatRatio);
  let low = afterPa;
  let high = 5 * afterPa;
  for (let i = 0; i < 22; i++) {
    const p3 = (low + high) / 2;
    const flow = nozzle(p3);
    const power =
      Math.min(gas, flow) * EXHAUST_GAS.specificHeatJPerKgK * inletK * efficiency * isentropicDrop(p3 / afterPa);
    if (power < wantedW && flow < gas) low = p3;
    else high = p3;
  }
  return (low + high) / 2;
};
