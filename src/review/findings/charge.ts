/** What the charge cooler should make of the charge: shared by hot-charge and heat-soak. */
import { clamp } from '../../physics/index.ts';
import { curveReader, type ReviewContext } from '../context.ts';
import { runningMean } from './spans.ts';

/** (k-1)/k of air near room temperature. */
const AIR_EXPONENT = 0.2857;
/** Compressor efficiency where no outlet temperature was logged: middle of a usual map. */
const USUAL_EFFICIENCY = 0.68;

/** An estimate by class is off by twice its standard deviation once in twenty cars. */
const ESTIMATE_SPREADS = 2;

export interface ChargeExpectation {
  readonly chargeK: Float64Array;
  readonly expectedK: Float64Array;
  /** What a guessed effectiveness may be off by [K]; nought where the sheet has one. */
  readonly doubtK: Float64Array;
  readonly ambientK: number;
  readonly ambientFrom: string;
  readonly outletFrom: 'channel' | 'pressure ratio';
}

/**
 * Charge temperature by effectiveness: T = T_out - eff(flow) (T_out - T_ambient), with the logged compressor outlet
 * temperature, else T_out = T_in (1 + (PR^0.2857 - 1) / 0.68). Null without charge temperature, pressure, build or any
 * outside temperature. Source: Kays & London, Compact Heat Exchangers (definition of effectiveness).
 */
export const chargeExpectation = (context: ReviewContext): ChargeExpectation | null =>
  context.kept('charge expectation', () => {
    const chargeK = context.on('charge-temperature');
    const manifold = context.on('manifold-pressure');
    const flow = context.speedDensityKgPerS();
    const { car, ambient } = context;
    if (!chargeK || !manifold || !flow || !car || !ambient) return null;
    const outletLogged = context.on('compressor-outlet-temperature');
    const { referenceFlowKgPerS, pressureDropPa } = car.chargeCooler;
    const effectiveness = curveReader(car.curves.effectiveness);
    const smoothFlow = runningMean(flow, context.samples(0.2));
    const outlet =
      outletLogged ??
      manifold.map((pressure, i) => {
        const share = smoothFlow[i]! / referenceFlowKgPerS;
        const ratio = Math.max(1, (pressure + pressureDropPa * share * share) / context.barometricPressurePa);
        return ambient.temperatureK * (1 + (ratio ** AIR_EXPONENT - 1) / USUAL_EFFICIENCY);
      });
    const given = context.resolved?.quantities['chargeCooler.effectiveness'];
    const doubtShare = given?.estimated ? (ESTIMATE_SPREADS * given.sdSi) / given.valueSi : 0;
    return {
      chargeK,
      doubtK: outlet.map(
        (value, i) => doubtShare * effectiveness(smoothFlow[i]!) * Math.max(0, value - ambient.temperatureK),
      ),
      expectedK: outlet.map(
        (value, i) => value - clamp(effectiveness(smoothFlow[i]!), 0.2, 0.97) * (value - ambient.temperatureK),
      ),
      ambientK: ambient.temperatureK,
      ambientFrom: ambient.from,
      outletFrom: outletLogged ? 'channel' : 'pressure ratio',
    };
  });
