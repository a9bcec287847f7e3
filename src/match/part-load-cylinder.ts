/** The mean-value cylinder with what counts at part load; behind the same interface as the crank-angle cycle. */
import type { LoadNumbers } from '../car/index.ts';
import {
  type CylinderCharge,
  type CylinderFacts,
  type CylinderModel,
  lambdaFactor,
  meanValueCylinder,
  timingFactor,
} from './cylinder.ts';

/**
 * Efficiency of the fuel-air cycle at the right mixture, 1 - r^-0.255, within 1 % for ratios of 8 to 14.
 * Source: Heywood (1988) fig. 5-9 and sect. 5.5.3 (from memory).
 */
export const fuelAirCycleEfficiency = (compressionRatio: number): number => 1 - compressionRatio ** -0.255;

/** Heat to the walls that could have worked, over the fuel's heat, at the reference below. Source: Heywood (1988) table 12.1. */
const WALL_SHARE = 0.2;
const REFERENCE = { pressurePa: 80e3, pistonSpeedMPerS: 6.8, boreM: 0.08, compressionRatio: 10 };

/**
 * Share of the fuel's heat that the walls take during burning and expansion, by the exponents of Woschni's law: h over
 * heat set free goes with p^-0.2 and speed^-0.2, area over volume and B^-0.2 with B^-1.2; a higher ratio burns in a
 * flatter space, r^0.35 (so that efficiency gains some 2 % per ratio from 10 to 13: Smith, Heywood & Cheng, SAE 2014-01-2599).
 */
export const workingWallShare = (
  manifoldPressurePa: number,
  meanPistonSpeedMPerS: number,
  boreM: number,
  compressionRatio: number,
): number =>
  WALL_SHARE *
  (manifoldPressurePa / REFERENCE.pressurePa) ** -0.2 *
  (Math.max(0.5, meanPistonSpeedMPerS) / REFERENCE.pistonSpeedMPerS) ** -0.2 *
  (boreM / REFERENCE.boreM) ** -1.2 *
  (compressionRatio / REFERENCE.compressionRatio) ** 0.35;

/**
 * State in which the best timing is just borderline, and octane as researched plus what direct injection is worth: 96 + 4,
 * ratio 10, 112 kPa, 2000 rpm, 45 degC. Published tests of boosted direct-injection engines of ratio 10 leave best timing
 * near 11 bar brake with 96 octane (Leone et al., SAE 2014-01-1228, from memory; looked for after the builder's anchor of the
 * mean-value cylinder had missed two measured engines, docs/scores.md).
 */
const BORDERLINE = {
  octane: 100,
  pressurePa: 112e3,
  compressionRatio: 10,
  speedRpm: 2000,
  chargeK: 318,
  endGasK: 850,
  coolingK: 24,
};
/** Rise of ln(knock integral) per degree of earlier burning: at best timing, and gained per degree late (slider-crank, Wiebe, Douaud-Eyzat). */
const LOG_PER_DEG = 0.044;
const LOG_PER_DEG2 = 0.00055;

/**
 * Degrees after best timing at which knock is borderline [deg], 0 where best timing does not knock.
 *
 * ln I = -3.402 ln ON + 1.7 ln p + 3800 (1/T0 - 1/T) - 0.9 ln N against {@link BORDERLINE}, brought to nought by later
 * burning, which at first does little: 0.044 late + 0.00055 late^2. Relative, never a guarantee.
 * Source: Douaud & Eyzat, SAE 780080 (1978); Livengood & Wu (1955).
 */
export const knockLateDeg = (charge: CylinderCharge, facts: CylinderFacts): number => {
  const ratio = facts.compressionRatio / BORDERLINE.compressionRatio;
  const mixtureK =
    0.65 * (charge.chargeTemperatureK - BORDERLINE.chargeK) - 0.3 * (charge.evaporationCoolingK - BORDERLINE.coolingK);
  const endGasK = Math.max(500, BORDERLINE.endGasK * (1 + mixtureK / BORDERLINE.chargeK) * ratio ** 0.25);
  const logIntegral =
    -3.402 * Math.log(Math.max(40, facts.researchOctane) / BORDERLINE.octane) +
    1.7 * Math.log((charge.manifoldPressurePa / BORDERLINE.pressurePa) * ratio) +
    3800 * (1 / BORDERLINE.endGasK - 1 / endGasK) -
    0.9 * Math.log(charge.engineSpeedRpm / BORDERLINE.speedRpm);
  if (logIntegral <= 0) return 0;
  return (Math.sqrt(LOG_PER_DEG ** 2 + 4 * LOG_PER_DEG2 * logIntegral) - LOG_PER_DEG) / (2 * LOG_PER_DEG2);
};

/**
 * Gross efficiency = (share of the fuel-air cycle - effect of more or less wall heat than usual) x mixture x timing.
 * Knock limit, best timing and peak pressure are the mean-value cylinder's, with the octane that direct injection is
 * worth and the maker's own offset of timing. Where the sheet has an indicated efficiency, that holds instead.
 */
export const partLoadCylinder = (
  numbers: LoadNumbers,
  boreM: number,
  strokeM: number,
  inner: CylinderModel = meanValueCylinder,
): CylinderModel => ({
  burn: (charge, facts, sparkAdvanceDeg, out) => {
    const fuel = {
      ...facts,
      researchOctane: facts.researchOctane + numbers.octaneOfDirectInjection,
      learnedAdvanceDeg: facts.learnedAdvanceDeg + numbers.timingOffsetDeg,
    };
    inner.burn(charge, fuel, sparkAdvanceDeg, out);
    if (sparkAdvanceDeg === null && facts.spark) {
      const late = Math.max(0, knockLateDeg(charge, fuel) - fuel.learnedAdvanceDeg);
      inner.burn(charge, fuel, out.bestTorqueAdvanceDeg - Math.min(late, 30), out);
      out.knockLimitAdvanceDeg = late > 0 ? out.sparkAdvanceDeg : out.bestTorqueAdvanceDeg;
    }
    if (numbers.efficiencyTyped || !facts.spark) return out;
    const pistonSpeed = (2 * strokeM * charge.engineSpeedRpm) / 60;
    const wall = workingWallShare(charge.manifoldPressurePa, pistonSpeed, boreM, facts.compressionRatio);
    const base =
      numbers.workOverFuelAirCycle * fuelAirCycleEfficiency(facts.compressionRatio) -
      numbers.wallHeatEffect * (wall - WALL_SHARE);
    out.indicatedEfficiency =
      Math.max(0.05, base) *
      (lambdaFactor(charge.lambda) / lambdaFactor(1)) *
      out.heatShare *
      timingFactor(out.bestTorqueAdvanceDeg - out.sparkAdvanceDeg) *
      facts.learnedTorque;
    // Heat to coolant, oil and ports is 17 to 26 % of the fuel's at full power (Heywood (1988) table 12.1). With less flow
    // the walls of ports and manifold take a larger share: turbulent heat transfer alone gives flow^-0.2, measured
    // exhaust temperatures a little more (Eriksson, SAE 2002-01-0374, from memory).
    const flow = (charge.engineSpeedRpm / 4000) * (charge.manifoldPressurePa / 200e3);
    const coolant = Math.min(0.5, (0.22 / Math.min(1, charge.lambda)) * flow ** -0.25);
    const work = out.indicatedEfficiency / out.heatShare;
    out.wallHeatShare = Math.max(0, 1 - work - Math.max(0, 1 - coolant - work) * facts.learnedExhaustHeat);
    return out;
  },
});
