/**
 * A compressor at a given shaft speed and any flow: beyond the map to both sides, as a throttle that shuts needs it.
 *
 * Right of the surge line the map's surface; left of it and through reversed flow the cubic of Greitzer and Moore between
 * the pressure ratio at the surge line and the one that the turning wheel holds against no flow; where a slow wheel is
 * blown through, the loss of a standing one.
 */
import { COLUMNS_PER_SHARE, FLOW_COLUMNS, FLOW_END, PAST_END, SPEED_ROWS } from './compressor-grid.ts';
import { MAP_EXPONENT } from './compressor-line-fit.ts';
import type { MapScale } from './compressor-map.ts';
import type { CompressorSurface } from './compressor-surface.ts';

/** Answer of {@link compressorAtSpeed}; reused between calls. */
export interface CompressorAtSpeed {
  /** Total pressure ratio [-]. */
  pressureRatio: number;
  /** Its slope over corrected flow [s/kg]. */
  slopePerKgPerS: number;
  /** Temperature rise over inlet temperature [-] of what flows; never negative. */
  workRatio: number;
  /** Corrected flow at the surge line and at choke, at this speed [kg/s]. */
  surgeFlowKgPerS: number;
  chokeFlowKgPerS: number;
}

/** An answer to be filled: pressure ratio 1 [-], no flow [kg/s]. */
export const newCompressorAtSpeed = (): CompressorAtSpeed => ({
  pressureRatio: 1,
  slopePerKgPerS: 0,
  workRatio: 0,
  surgeFlowKgPerS: 0,
  chokeFlowKgPerS: 0,
});

/** Head lost by a standing wheel at the widest choke flow: the dynamic head of the throat, not recovered (no source). */
const STANDING_LOSS = 0.35;
/** The valley's pressure ratio is held this far below the surge line's rise, so that the cubic has a rising part. */
const HIGHEST_VALLEY = 0.95;

/**
 * Head PR^((k-1)/k) - 1 that a turning wheel holds against no flow, omega^2 (r2^2 - r1^2) / (2 cp T).
 *
 * @param shaftSpeedRpm corrected to `temperatureK` [rpm]
 * @param inducerM diameter where the air enters [m]
 * @param exducerM largest diameter [m]
 * @param temperatureK of the air it is corrected to [K]
 * @param specificHeatJPerKgK [J/(kg K)]
 * @returns [-]
 * Source: radial equilibrium; Gravdahl & Egeland, Compressor Surge and Rotating Stall (1999), ch. 3.
 */
export const shutOffHead = (
  shaftSpeedRpm: number,
  inducerM: number,
  exducerM: number,
  temperatureK: number,
  specificHeatJPerKgK: number,
): number => {
  const omega = (shaftSpeedRpm * Math.PI) / 30;
  const squares = 0.25 * Math.max(0, exducerM * exducerM - inducerM * inducerM);
  return (omega * omega * squares) / (2 * specificHeatJPerKgK * temperatureK);
};

/**
 * Pressure ratio left of the surge line, PR0 + H (1 + 3/2 (m/W - 1) - 1/2 (m/W - 1)^3), W half the surge flow and H half
 * the rise from no flow to the surge line; falls steeply with reversed flow.
 *
 * @param flowKgPerS any sign, below the surge flow [kg/s]
 * @param surgeFlowKgPerS above 0 [kg/s]
 * @param valleyRatio PR0, at no flow [-]
 * @param surgeRatio at the surge line [-]
 * @returns [-]
 * Source: Moore & Greitzer, ASME J. Eng. Gas Turbines Power 108 (1986) 68, eq. 43; Greitzer, ASME J. Eng. Power 98 (1976) 190.
 */
export const cubicPressureRatio = (
  flowKgPerS: number,
  surgeFlowKgPerS: number,
  valleyRatio: number,
  surgeRatio: number,
): number => {
  const x = (2 * flowKgPerS) / surgeFlowKgPerS - 1;
  return valleyRatio + 0.5 * (surgeRatio - valleyRatio) * (1 + 1.5 * x - 0.5 * x * x * x);
};

const at = (table: Float64Array, first: number, x: number): number => {
  const place = Math.min(FLOW_COLUMNS - 1.000001, Math.max(0, x * COLUMNS_PER_SHARE));
  const column = Math.floor(place);
  const left = table[first + column]!;
  return left + (table[first + column + 1]! - left) * (place - column);
};

/**
 * Pressure ratio, its slope and the work at a corrected shaft speed [rpm] and corrected flow [kg/s] of any sign.
 *
 * `shutOffHeadOfSpeed`: {@link shutOffHead} at this speed [-]. Total: speeds beyond the surface are held to its top.
 * Source: see the head of this file; loss of a standing wheel as a nozzle's dynamic head.
 */
export const compressorAtSpeed = (
  surface: CompressorSurface,
  shaftSpeedRpm: number,
  flowKgPerS: number,
  scale: MapScale,
  shutOffHeadOfSpeed: number,
  out: CompressorAtSpeed,
): CompressorAtSpeed => {
  const last = SPEED_ROWS - 1;
  const speed = shaftSpeedRpm / scale.speed;
  const row = Math.min(last, Math.max(0, (speed / surface.topSpeedRpm) * last));
  const below = Math.min(SPEED_ROWS - 2, Math.floor(row));
  const part = row - below;
  const first = below * FLOW_COLUMNS;
  const second = first + FLOW_COLUMNS;
  const { chokeFlow, surgeFlow } = surface;
  const choke = Math.max(1e-9, chokeFlow[below]! + (chokeFlow[below + 1]! - chokeFlow[below]!) * part);
  const surge = surgeFlow[below]! + (surgeFlow[below + 1]! - surgeFlow[below]!) * part;
  const flow = flowKgPerS / scale.flow;
  const share = row / last;
  const squared = share * share;
  const headAt = (x: number): number => {
    const h = at(surface.head, first, x);
    return (h + (at(surface.head, second, x) - h) * part) * squared - (x > FLOW_END ? PAST_END * (x - FLOW_END) : 0);
  };
  const x = flow / choke;
  const w = at(surface.work, first, Math.max(0, x));
  const work = w + (at(surface.work, second, Math.max(0, x)) - w) * part;
  out.workRatio = Math.max(0, (work * squared) / scale.efficiency);
  out.surgeFlowKgPerS = surge * scale.flow;
  out.chokeFlowKgPerS = choke * scale.flow;
  const widest = Math.max(1e-9, chokeFlow[last]!);
  if (flow < surge) {
    const surgeRatio = Math.max(0.1, 1 + headAt(surge / choke)) ** (1 / MAP_EXPONENT);
    const valley = Math.min(
      (1 + shutOffHeadOfSpeed) ** (1 / MAP_EXPONENT),
      1 + HIGHEST_VALLEY * Math.max(0, surgeRatio - 1),
    );
    // Backward faster than the surge flow the cubic would run away: from there the wheel is a loss like a standing one.
    const held = Math.max(flow, -surge);
    const beyond = (flow - held) / widest;
    const y = (2 * held) / Math.max(surge, 1e-9) - 1;
    out.pressureRatio =
      cubicPressureRatio(held, Math.max(surge, 1e-9), valley, surgeRatio) + STANDING_LOSS * beyond * beyond;
    out.slopePerKgPerS =
      (((surgeRatio - valley) * 1.5 * (1 - y * y)) / Math.max(surge, 1e-9) + (2 * STANDING_LOSS * beyond) / widest) /
      scale.flow;
    return out;
  }
  const step = 0.5 / COLUMNS_PER_SHARE;
  const mapHead = headAt(x);
  const wide = choke / widest;
  const standing = -STANDING_LOSS * (x * wide) ** 2;
  const head = Math.max(mapHead, standing);
  const ratio = Math.max(0.05, 1 + head) ** (1 / MAP_EXPONENT);
  const headSlope =
    mapHead >= standing
      ? (headAt(x + step) - headAt(Math.max(surge / choke, x - step))) / (x + step - Math.max(surge / choke, x - step))
      : -2 * STANDING_LOSS * x * wide * wide;
  out.pressureRatio = ratio;
  out.slopePerKgPerS = ((ratio / (1 + head) / MAP_EXPONENT) * headSlope) / choke / scale.flow;
  return out;
};
