/** What a compressor map is measured against: its reference air, and whether its pressure ratio counts the outlet's speed. */
import { isentropicRise, type ReferenceAir } from './compressor.ts';
import type { CompressorMapPoints } from './compressor-line-fit.ts';
import { type Solved, solved, unsolved } from './reason.ts';

/**
 * The same map corrected to another reference air: flow by sqrt(T/T') p'/p, speed by sqrt(T'/T); pressure ratio and
 * efficiency stay.
 *
 * @param map corrected to its own reference
 * @param reference wanted [K, Pa]
 * @returns flow [kg/s], speed [rpm]
 * Source: SAE J1826; definition of corrected flow and speed (similarity at equal Mach numbers).
 */
export const mapAtReference = (map: CompressorMapPoints, reference: ReferenceAir): CompressorMapPoints => {
  const flow =
    (Math.sqrt(map.referenceTemperatureK / reference.temperatureK) * reference.pressurePa) / map.referencePressurePa;
  const speed = Math.sqrt(reference.temperatureK / map.referenceTemperatureK);
  return {
    referenceTemperatureK: reference.temperatureK,
    referencePressurePa: reference.pressurePa,
    lines: map.lines.map((line) => ({
      ...line,
      shaftSpeedRpm: line.shaftSpeedRpm * speed,
      ...(line.surgeFlow === undefined ? {} : { surgeFlow: line.surgeFlow * flow }),
      ...(line.chokeFlow === undefined ? {} : { chokeFlow: line.chokeFlow * flow }),
      points: line.points.map(([own, ratio, efficiency]): [number, number, number] => [own * flow, ratio, efficiency]),
    })),
  };
};

/** A point of a map by total pressures. */
export interface TotalPoint {
  readonly pressureRatio: number;
  readonly efficiency: number;
}

/**
 * A point given with static pressure at the outlet, in total pressures: the outlet's Mach number from its flow, then
 * p02 = p2 (1 + 0.2 M2)^3.5 (k = 1.4). The temperature rise is the same, so the efficiency grows with the head.
 *
 * @param correctedFlowKgPerS [kg/s]
 * @param pressureRatio static outlet over total inlet [-]
 * @param efficiency by the same pressures [-]
 * @param outletDiameterM of the compressor's outlet pipe [m]
 * @param reference the map's air [K, Pa]
 * @returns total over total [-]. Reason: `input-out-of-range` where the pipe could not pass the flow below the speed of sound
 * Source: definition of stagnation pressure, Anderson, Modern Compressible Flow, eq. 3.28 to 3.30; m = p A M sqrt(k/(R T)).
 */
export const totalFromStaticOutlet = (
  correctedFlowKgPerS: number,
  pressureRatio: number,
  efficiency: number,
  outletDiameterM: number,
  reference: ReferenceAir,
): Solved<TotalPoint> => {
  const area = 0.25 * Math.PI * outletDiameterM ** 2;
  const head = isentropicRise(pressureRatio);
  const outletK = reference.temperatureK * (1 + head / efficiency);
  // m sqrt(R T0) / (A p sqrt(k)) = M sqrt(1 + 0.2 M2), a quadratic in M squared.
  const y =
    (correctedFlowKgPerS * Math.sqrt(287.05 * outletK)) /
    (area * pressureRatio * reference.pressurePa * Math.sqrt(1.4));
  const mach2 = (Math.sqrt(1 + 0.8 * y * y) - 1) / 0.4;
  if (!(mach2 < 1)) {
    return unsolved(
      'input-out-of-range',
      'The outlet pipe is too narrow for this flow: it would pass it at the speed of sound.',
    );
  }
  const total = pressureRatio * (1 + 0.2 * mach2) ** 3.5;
  return solved({ pressureRatio: total, efficiency: (efficiency * isentropicRise(total)) / head });
};
