/**
 * Heat exchangers by effectiveness and number of transfer units.
 *
 * NTU = U A / Cmin [-], capacity ratio Cr = Cmin / Cmax [-] from 0 (condenser) to 1.
 */

import { type Solved, solved, unsolved } from './reason.ts';
import { findRoot } from './roots.ts';

/** How the two streams meet. "Cmax mixed": the stream with the larger capacity rate is mixed, the other in channels. */
export type FlowArrangement =
  | 'counterflow'
  | 'parallel flow'
  | 'crossflow, both unmixed'
  | 'crossflow, both unmixed, approximation'
  | 'crossflow, Cmax mixed'
  | 'crossflow, Cmin mixed'
  | 'crossflow, both mixed';

const counterflow = (ntu: number, cr: number): number => {
  if (1 - cr < 1e-9) return ntu / (1 + ntu);
  const e = Math.exp(-ntu * (1 - cr));
  return (1 - e) / (1 - cr * e);
};

/**
 * Exact series of crossflow with both streams unmixed: a sum of products of two Poisson tails, all terms positive.
 * Beyond 300 transfer units the first exponential is close to underflow and the effectiveness has long reached 1 or its
 * balanced value, so the count is held there.
 */
const crossflowUnmixed = (transferUnits: number, cr: number): number => {
  const ntu = Math.min(transferUnits, 300);
  if (cr * ntu < 1e-9) return -Math.expm1(-ntu);
  const other = cr * ntu;
  let term = Math.exp(-ntu);
  let otherTerm = Math.exp(-other);
  let tail = -Math.expm1(-ntu);
  let otherTail = -Math.expm1(-other);
  let sum = tail * otherTail;
  for (let n = 1; n < 5000; n++) {
    term *= ntu / n;
    otherTerm *= other / n;
    tail -= term;
    otherTail -= otherTerm;
    if (tail <= 0 || otherTail <= 0) break;
    const product = tail * otherTail;
    sum += product;
    if (product < 1e-15 * sum) break;
  }
  return Math.min(1, sum / other);
};

const LAWS: Readonly<Record<FlowArrangement, (ntu: number, cr: number) => number>> = {
  counterflow,
  'parallel flow': (ntu, cr) => -Math.expm1(-ntu * (1 + cr)) / (1 + cr),
  'crossflow, both unmixed': crossflowUnmixed,
  'crossflow, both unmixed, approximation': (ntu, cr) =>
    cr < 1e-9 ? -Math.expm1(-ntu) : -Math.expm1((ntu ** 0.22 / cr) * Math.expm1(-cr * ntu ** 0.78)),
  'crossflow, Cmax mixed': (ntu, cr) => (cr < 1e-9 ? -Math.expm1(-ntu) : -Math.expm1(cr * Math.expm1(-ntu)) / cr),
  'crossflow, Cmin mixed': (ntu, cr) => (cr < 1e-9 ? -Math.expm1(-ntu) : -Math.expm1(Math.expm1(-cr * ntu) / cr)),
  'crossflow, both mixed': (ntu, cr) =>
    cr < 1e-9 ? -Math.expm1(-ntu) : 1 / (1 / -Math.expm1(-ntu) + cr / -Math.expm1(-cr * ntu) - 1 / ntu),
};

/** All arrangements known here. Source: the keys of the laws of {@link effectiveness}. */
export const FLOW_ARRANGEMENTS = Object.keys(LAWS) as readonly FlowArrangement[];

/**
 * Share of the greatest possible heat that an exchanger transfers.
 *
 * @param arrangement how the streams meet; the approximation is up to 3.8 % low (1.6 % at NTU = Cr = 1)
 * @param transferUnits NTU [-], 0 or more
 * @param capacityRatio Cr [-], 0 to 1
 * @returns effectiveness [-], 0 to 1
 * Source: Kays & London, Compact Heat Exchangers, 3rd ed., table 2-2; unmixed crossflow: Mason (1954) series and, as
 * approximation, Incropera & DeWitt eq. 11.32.
 */
export const effectiveness = (arrangement: FlowArrangement, transferUnits: number, capacityRatio: number): number =>
  transferUnits <= 0 ? 0 : LAWS[arrangement](transferUnits, capacityRatio);

/**
 * Transfer units that reach an effectiveness.
 *
 * @param arrangement how the streams meet
 * @param wanted effectiveness [-], 0 or more and less than 1
 * @param capacityRatio Cr [-], 0 to 1
 * @returns NTU [-], at most 100. Reasons: `effectiveness-unreachable`, `input-out-of-range`, `no-convergence`.
 * Source: inverse of {@link effectiveness}.
 */
export const transferUnits = (arrangement: FlowArrangement, wanted: number, capacityRatio: number): Solved<number> => {
  if (!(wanted >= 0 && capacityRatio >= 0 && capacityRatio <= 1)) {
    return unsolved('input-out-of-range', 'Effectiveness is 0 or more and the capacity ratio lies between 0 and 1.');
  }
  if (wanted === 0) return solved(0);
  // With one stream mixed the effectiveness may pass a maximum; the smallest exchanger is on the rising branch.
  let high = 0.25;
  while (effectiveness(arrangement, high, capacityRatio) < wanted) {
    high *= 1.5;
    if (high > 100) {
      return unsolved(
        'effectiveness-unreachable',
        `${arrangement} does not reach an effectiveness of ${wanted} at a capacity ratio of ${capacityRatio}.`,
      );
    }
  }
  return findRoot((ntu) => effectiveness(arrangement, ntu, capacityRatio) - wanted, 0, high);
};

/** Heat and outlets of an exchanger. */
export interface HeatExchange {
  readonly heatW: number;
  readonly hotOutletK: number;
  readonly coldOutletK: number;
  readonly effectiveness: number;
  readonly transferUnits: number;
}

/**
 * Outlets of an exchanger of known conductance.
 *
 * @param arrangement how the streams meet
 * @param conductanceWPerK U A [W/K]
 * @param hotCapacityWPerK mass flow times specific heat [W/K], above 0
 * @param hotInletK [K]
 * @param coldCapacityWPerK [W/K], above 0
 * @param coldInletK [K]
 * @returns a {@link HeatExchange} [W, K]
 * Source: Incropera & DeWitt, sect. 11.4.
 */
export const exchangeHeat = (
  arrangement: FlowArrangement,
  conductanceWPerK: number,
  hotCapacityWPerK: number,
  hotInletK: number,
  coldCapacityWPerK: number,
  coldInletK: number,
): HeatExchange => {
  const least = Math.min(hotCapacityWPerK, coldCapacityWPerK);
  const ntu = conductanceWPerK / least;
  const share = effectiveness(arrangement, ntu, least / Math.max(hotCapacityWPerK, coldCapacityWPerK));
  const heatW = share * least * (hotInletK - coldInletK);
  return {
    heatW,
    hotOutletK: hotInletK - heatW / hotCapacityWPerK,
    coldOutletK: coldInletK + heatW / coldCapacityWPerK,
    effectiveness: share,
    transferUnits: ntu,
  };
};

/**
 * Charge temperature after a cooler whose charge side has the smaller capacity rate, T = Th - eps (Th - Tc).
 *
 * @param share effectiveness [-]
 * @param hotInletK charge air in [K]
 * @param coldInletK cooling air or water in [K]
 * @returns [K]
 * Source: definition of effectiveness.
 */
export const coolerOutletTemperatureK = (share: number, hotInletK: number, coldInletK: number): number =>
  hotInletK - share * (hotInletK - coldInletK);

/**
 * Logarithmic mean of two temperature differences [K], both positive.
 * Reason: `input-out-of-range` when the streams cross. Source: Incropera & DeWitt, eq. 11.15.
 */
export const logMeanTemperatureDifferenceK = (oneEndK: number, otherEndK: number): Solved<number> => {
  if (!(oneEndK > 0 && otherEndK > 0)) {
    return unsolved('input-out-of-range', 'A log-mean difference needs a positive difference at both ends.');
  }
  const logarithm = Math.log(oneEndK / otherEndK);
  return solved(Math.abs(logarithm) < 1e-6 ? (oneEndK + otherEndK) / 2 : (oneEndK - otherEndK) / logarithm);
};
