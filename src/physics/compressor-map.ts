/**
 * A fitted compressor map asked: corrected flow and pressure ratio in, corrected shaft speed and work out; and the lines
 * of the map by speed or pressure ratio.
 */
import {
  COLUMNS_PER_SHARE,
  FLOW_COLUMNS,
  FLOW_END,
  headOnRow,
  PAST_END,
  SEARCH_BINS,
  SPEED_ROWS,
} from './compressor-grid.ts';
import { MAP_EXPONENT } from './compressor-line-fit.ts';
import type { CompressorSurface, SurfaceTables } from './compressor-surface.ts';

/** Where a point lies on the map. */
export const MAP_PLACE = { inside: 0, surge: 1, belowLines: 2, aboveLines: 3, choked: 4 } as const;
export type MapPlace = (typeof MAP_PLACE)[keyof typeof MAP_PLACE];

/** Factors on a surface: another wheel of the same family, or a sample of the map's plus-minus. All 1 for the map as typed. */
export interface MapScale {
  readonly flow: number;
  readonly speed: number;
  readonly efficiency: number;
  /** On the surge flow alone, over that of `flow`; 1 when absent. */
  readonly surge?: number;
}

/** Answer of {@link compressorAt}; reused between calls, so copy what you keep. */
export interface CompressorState {
  /** Corrected shaft speed [rpm]. */
  shaftSpeedRpm: number;
  /** Isentropic efficiency [-], 0 where the pressure ratio is 1 or less. */
  efficiency: number;
  /** Temperature rise over inlet temperature [-]. */
  workRatio: number;
  /** Choke and surge flow [kg/s, corrected] at this shaft speed. */
  chokeFlowKgPerS: number;
  surgeFlowKgPerS: number;
  /** Pressure ratio asked less the most that the surface reaches at this flow; 0 unless choked. */
  shortfall: number;
  place: MapPlace;
}

export const newCompressorState = (): CompressorState => ({
  shaftSpeedRpm: 0,
  efficiency: 0,
  workRatio: 0,
  chokeFlowKgPerS: 0,
  surgeFlowKgPerS: 0,
  shortfall: 0,
  place: MAP_PLACE.inside,
});

export const UNIT_SCALE: MapScale = { flow: 1, speed: 1, efficiency: 1 };

const tableAt = (table: Float64Array, row: number, x: number): number => {
  const place = Math.min(FLOW_COLUMNS - 1.000001, Math.max(0, x * COLUMNS_PER_SHARE));
  const column = Math.floor(place);
  const at = row * FLOW_COLUMNS + column;
  const left = table[at]!;
  return left + (table[at + 1]! - left) * (place - column);
};

/** Head PR^((k-1)/k) - 1 on the surface at a place `row` (fractional) of the speed table. */
const headAtRow = (surface: SurfaceTables, row: number, flow: number): number => {
  const below = Math.min(SPEED_ROWS - 2, Math.floor(row));
  const part = row - below;
  const { chokeFlow } = surface;
  const choke = chokeFlow[below]! + (chokeFlow[below + 1]! - chokeFlow[below]!) * part;
  const x = flow / Math.max(choke, 1e-9);
  const h0 = tableAt(surface.head, below, x);
  const head = h0 + (tableAt(surface.head, below + 1, x) - h0) * part;
  const share = row / (SPEED_ROWS - 1);
  const past = x > FLOW_END ? PAST_END * (x - FLOW_END) : 0;
  return head * share * share - past;
};

const ratioOfHead = (head: number): number => Math.max(0, 1 + head) ** (1 / MAP_EXPONENT);

const ratioAtRow = (surface: SurfaceTables, row: number, flow: number): number =>
  ratioOfHead(headAtRow(surface, row, flow));

/**
 * Shaft speed and work at a corrected flow and total pressure ratio.
 *
 * `flowKgPerS` corrected to the surface's reference state [kg/s], > 0; `pressureRatio` total to total [-], > 0.
 * Never fails: a point beyond the map takes the surface's edge and `place` says so (`choked`: no speed reaches it).
 * Worked by Newton's rule inside one cell of the tables, held to the cell, to the last digits of the head.
 */
export const compressorAt = (
  surface: CompressorSurface,
  flowKgPerS: number,
  pressureRatio: number,
  scale: MapScale,
  out: CompressorState,
): CompressorState => {
  const flow = flowKgPerS / scale.flow;
  const head = Math.expm1(MAP_EXPONENT * Math.log(pressureRatio));
  const { chokeFlow, surgeFlow, perChokeFlow, head: headTable, work: workTable } = surface;
  const last = SPEED_ROWS - 1;
  // From the row that the search table names to the two rows between which the head is reached.
  const i = Math.min(SEARCH_BINS - 1, (flow * surface.perWidestFlow * SEARCH_BINS) | 0);
  const k = Math.min(SEARCH_BINS - 1, Math.max(0, (head * surface.perHighestHead * SEARCH_BINS) | 0));
  let below = surface.firstRow[i * SEARCH_BINS + k]!;
  let under = headOnRow(headTable, perChokeFlow, below, flow) - head;
  let over = 0;
  if (under < 0) {
    for (;;) {
      over = headOnRow(headTable, perChokeFlow, below + 1, flow) - head;
      if (!(over < 0) || below === last - 1) break;
      below++;
      under = over;
    }
  } else {
    while (!(under < 0) && below > 0) {
      over = under;
      below--;
      under = headOnRow(headTable, perChokeFlow, below, flow) - head;
    }
  }
  const choked = over < 0;
  let part = choked ? 1 : 0;
  const choke0 = chokeFlow[below]!;
  const chokeStep = chokeFlow[below + 1]! - choke0;
  const first = below * FLOW_COLUMNS;
  const second = first + FLOW_COLUMNS;
  let choke = choke0 + chokeStep * part;
  if (!choked && under < 0) {
    let low = 0;
    let high = 1;
    part = under / (under - over);
    for (let round = 0; round < 60; round++) {
      choke = choke0 + chokeStep * part;
      const x = flow / Math.max(choke, 1e-9);
      const share = (below + part) / (SPEED_ROWS - 1);
      const inside = x < FLOW_END;
      const place = inside ? x * COLUMNS_PER_SHARE : FLOW_COLUMNS - 1;
      const column = inside ? place | 0 : FLOW_COLUMNS - 2;
      const along = place - column;
      const a = headTable[first + column]!;
      const da = headTable[first + column + 1]! - a;
      const b = headTable[second + column]!;
      const db = headTable[second + column + 1]! - b;
      const left = a + da * along;
      const rise = b + db * along - left;
      const mean = left + rise * part;
      const short = mean * share * share - (inside ? 0 : PAST_END * (x - FLOW_END)) - head;
      if (short < 0) low = part;
      else high = part;
      // Flow over choke flow falls as the choke flow grows with speed.
      const xSlope = (-x * chokeStep) / choke;
      const slope =
        (rise + (inside ? (da + (db - da) * part) * xSlope * COLUMNS_PER_SHARE : 0)) * share * share +
        (2 * mean * share) / (SPEED_ROWS - 1) -
        (inside ? 0 : PAST_END * xSlope);
      const next = part - short / slope;
      if (next >= low && next <= high) {
        const moved = Math.abs(next - part);
        part = next;
        // Newton's rule doubles the digits: the step after this one would be below rounding.
        if (moved < 1e-7) break;
      } else {
        part = 0.5 * (low + high);
        if (high - low < 1e-12) break;
      }
    }
    choke = choke0 + chokeStep * part;
  }
  const surge = (surgeFlow[below]! + (surgeFlow[below + 1]! - surgeFlow[below]!) * part) * (scale.surge ?? 1);
  const x = choke > 0 ? flow / choke : FLOW_END;
  const w0 = tableAt(workTable, below, x);
  const share = (below + part) / (SPEED_ROWS - 1);
  const work = ((w0 + (tableAt(workTable, below + 1, x) - w0) * part) * share * share) / scale.efficiency;
  const speed = share * surface.topSpeedRpm;
  // Where the wheel cannot even reach the head that is asked, the work is at least that of the head at poor efficiency.
  out.workRatio = Math.max(work, head / 0.9);
  out.efficiency = head > 0 && out.workRatio > 0 ? head / out.workRatio : 0;
  out.shaftSpeedRpm = speed * scale.speed;
  out.chokeFlowKgPerS = choke * scale.flow;
  out.surgeFlowKgPerS = surge * scale.flow;
  out.shortfall = choked ? pressureRatio - ratioAtRow(surface, SPEED_ROWS - 1, flow) : 0;
  out.place = choked
    ? MAP_PLACE.choked
    : flow < surge
      ? MAP_PLACE.surge
      : speed < surface.lowestLineRpm
        ? MAP_PLACE.belowLines
        : speed > 1.02 * surface.highestLineRpm
          ? MAP_PLACE.aboveLines
          : MAP_PLACE.inside;
  return out;
};

const rowOfSpeed = (surface: SurfaceTables, shaftSpeedRpm: number): number =>
  Math.min(SPEED_ROWS - 1, Math.max(0, (shaftSpeedRpm / surface.topSpeedRpm) * (SPEED_ROWS - 1)));

const along = (table: Float64Array, row: number): number => {
  const below = Math.min(SPEED_ROWS - 2, Math.floor(row));
  return table[below]! + (table[below + 1]! - table[below]!) * (row - below);
};

/** Total pressure ratio [-] at a corrected speed [rpm] and flow [kg/s]; speed held within the surface. */
export const pressureRatioAt = (
  surface: SurfaceTables,
  shaftSpeedRpm: number,
  flowKgPerS: number,
  scale: MapScale = UNIT_SCALE,
): number => ratioAtRow(surface, rowOfSpeed(surface, shaftSpeedRpm / scale.speed), flowKgPerS / scale.flow);

/** Efficiency [-] at a corrected speed [rpm] and flow [kg/s]; 0 where the pressure ratio is 1 or less. */
export const efficiencyAt = (
  surface: SurfaceTables,
  shaftSpeedRpm: number,
  flowKgPerS: number,
  scale: MapScale = UNIT_SCALE,
): number => {
  const row = rowOfSpeed(surface, shaftSpeedRpm / scale.speed);
  const flow = flowKgPerS / scale.flow;
  const below = Math.min(SPEED_ROWS - 2, Math.floor(row));
  const choke = along(surface.chokeFlow, row);
  const x = choke > 0 ? flow / choke : FLOW_END;
  const part = row - below;
  const work = tableAt(surface.work, below, x) * (1 - part) + tableAt(surface.work, below + 1, x) * part;
  const share = row / (SPEED_ROWS - 1);
  const head = ratioAtRow(surface, row, flow) ** MAP_EXPONENT - 1;
  return head > 0 && work > 0 ? Math.min(0.9, (scale.efficiency * head) / (work * share * share)) : 0;
};

/** Corrected flow [kg/s] at which the compressor surges at a corrected speed [rpm]. */
export const surgeFlowAtSpeed = (surface: CompressorSurface, shaftSpeedRpm: number, scale: MapScale = UNIT_SCALE) =>
  along(surface.surgeFlow, rowOfSpeed(surface, shaftSpeedRpm / scale.speed)) * scale.flow * (scale.surge ?? 1);

/** Corrected flow [kg/s] at which the compressor chokes at a corrected speed [rpm]. */
export const chokeFlowAtSpeed = (surface: CompressorSurface, shaftSpeedRpm: number, scale: MapScale = UNIT_SCALE) =>
  along(surface.chokeFlow, rowOfSpeed(surface, shaftSpeedRpm / scale.speed)) * scale.flow;

/** Speed row at which the surge end of the line has this pressure ratio. */
const surgeRow = (surface: CompressorSurface, pressureRatio: number): number => {
  let low = 0;
  let high = SPEED_ROWS - 1;
  for (let i = 0; i < 48; i++) {
    const middle = 0.5 * (low + high);
    if (ratioAtRow(surface, middle, along(surface.surgeFlow, middle)) < pressureRatio) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
};

/** Corrected flow [kg/s] on the surge line at a total pressure ratio [-]; the surface's edge beyond it. */
export const surgeFlowAtPressureRatio = (
  surface: CompressorSurface,
  pressureRatio: number,
  scale: MapScale = UNIT_SCALE,
): number => along(surface.surgeFlow, surgeRow(surface, pressureRatio)) * scale.flow * (scale.surge ?? 1);

/** Greatest corrected flow [kg/s] that the fastest line of the map (not beyond it) delivers at a total pressure ratio [-]. */
export const greatestFlowAtPressureRatio = (
  surface: CompressorSurface,
  pressureRatio: number,
  scale: MapScale = UNIT_SCALE,
): number => {
  const row = rowOfSpeed(surface, surface.highestLineRpm);
  let low = along(surface.surgeFlow, row);
  let high = along(surface.chokeFlow, row) * FLOW_END;
  if (ratioAtRow(surface, row, low) <= pressureRatio) return low * scale.flow;
  for (let i = 0; i < 48; i++) {
    const middle = 0.5 * (low + high);
    if (ratioAtRow(surface, row, middle) > pressureRatio) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high) * scale.flow;
};
