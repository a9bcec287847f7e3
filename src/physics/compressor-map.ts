/**
 * A compressor map as a smooth surface: corrected flow and pressure ratio in, corrected shaft speed and work out.
 *
 * Each speed line is a generalised ellipse (Leufven & Eriksson, Control Engineering Practice 21 (2013) 1871) with a work
 * line of its own (Euler: the work of a backswept wheel falls with flow; Watson & Janota (1982) ch. 3). Between the lines
 * all coefficients follow monotone cubics in shaft speed; below the lowest line flow goes with speed and head with speed
 * squared (similarity); above the highest line they run on straight for a fifth more and the answer says so.
 */
import {
  type CompressorMapPoints,
  ellipsePressureRatio,
  type FittedLine,
  fitLine,
  MAP_EXPONENT,
} from './compressor-map-fit.ts';
import { monotoneCurve } from './numerics.ts';
import { expectSolved } from './reason.ts';

/** Where a point lies on the map. */
export const MAP_PLACE = { inside: 0, surge: 1, belowLines: 2, aboveLines: 3, choked: 4 } as const;
export type MapPlace = (typeof MAP_PLACE)[keyof typeof MAP_PLACE];

/** Factors on a surface: another wheel of the same family, or a sample of the map's plus-minus. All 1 for the map as typed. */
export interface MapScale {
  readonly flow: number;
  readonly speed: number;
  readonly efficiency: number;
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

/** How well the surface runs through the points of the map. */
export interface MapFit {
  readonly rmsPressureRatio: number;
  readonly rmsEfficiency: number;
  readonly points: number;
}

const SPEED_ROWS = 81;
const FLOW_COLUMNS = 101;
/** Furthest flow over choke flow held in the table. */
const FLOW_END = 1.12;
const OVERSPEED = 1.2;

/** A fitted map. Tables are row by row of speed; speeds run evenly from 0 to `topSpeedRpm`. */
export interface CompressorSurface {
  readonly referenceTemperatureK: number;
  readonly referencePressurePa: number;
  /** True when estimated from wheel sizes. */
  readonly estimated: boolean;
  readonly lines: readonly FittedLine[];
  readonly lowestLineRpm: number;
  readonly highestLineRpm: number;
  readonly topSpeedRpm: number;
  readonly fit: MapFit;
  /** Head (PR^((k-1)/k) - 1) and work (rise over inlet temperature), both over (speed/topSpeed)^2, by speed and flow/choke. */
  readonly head: Float64Array;
  readonly work: Float64Array;
  readonly chokeFlow: Float64Array;
  readonly surgeFlow: Float64Array;
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

/**
 * Fits the surface. Total for maps of two or more lines with three or more points each, speeds rising.
 * Source: see the head of this file.
 */
export const fitCompressorMap = (map: CompressorMapPoints, estimated = false): CompressorSurface => {
  const lines = map.lines.map(fitLine);
  const speeds = lines.map((line) => line.shaftSpeedRpm);
  const low = lines[0]!;
  const lowest = speeds[0]!;
  const highest = speeds[speeds.length - 1]!;
  const top = OVERSPEED * highest;

  /** Monotone inside; similarity (constant) below; straight on above, within `limits`. */
  const along = (values: number[], limits: readonly [number, number]) => {
    const curve = expectSolved(monotoneCurve(speeds, values));
    const last = values.length - 1;
    const slope = (values[last]! - values[last - 1]!) / (speeds[last]! - speeds[last - 1]!);
    return (speed: number): number => {
      const value = speed > highest ? values[last]! + slope * (speed - highest) : curve.at(speed);
      return Math.min(limits[1], Math.max(limits[0], value));
    };
  };
  const over = (speed: number) => (speed / top) ** 2;
  const choke = along(
    lines.map((l) => l.chokeFlowKgPerS),
    [0, Number.POSITIVE_INFINITY],
  );
  const surgeShare = along(
    lines.map((l) => l.surgeFlowKgPerS / l.chokeFlowKgPerS),
    [0, 0.9],
  );
  const upright = along(
    lines.map((l) => l.uprightFlowKgPerS / l.chokeFlowKgPerS),
    [0.92, 1.5],
  );
  const surgeHead = along(
    lines.map((l) => (l.surgePressureRatio ** MAP_EXPONENT - 1) / over(l.shaftSpeedRpm)),
    [0, Number.POSITIVE_INFINITY],
  );
  const flowPower = along(
    lines.map((l) => Math.log(l.flowPower)),
    [-1, 4],
  );
  const pressurePower = along(
    lines.map((l) => Math.log(l.pressurePower)),
    [-1, 4],
  );
  const work = [0, 1, 2].map((i) =>
    along(
      lines.map((l) => l.work[i]! / over(l.shaftSpeedRpm)),
      [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY],
    ),
  );

  const headTable = new Float64Array(SPEED_ROWS * FLOW_COLUMNS);
  const workTable = new Float64Array(SPEED_ROWS * FLOW_COLUMNS);
  const chokeFlow = new Float64Array(SPEED_ROWS);
  const surgeFlow = new Float64Array(SPEED_ROWS);
  // Below the lowest line the shape of its head is kept, not its pressure ratio: similarity of slow flow.
  const lowHead = (x: number): number => {
    const ratio = ellipsePressureRatio(
      x * low.chokeFlowKgPerS,
      low.surgeFlowKgPerS,
      low.uprightFlowKgPerS,
      low.surgePressureRatio,
      low.flowPower,
      low.pressurePower,
    );
    return (Math.max(ratio, 0.3) ** MAP_EXPONENT - 1) / over(lowest);
  };
  for (let row = 0; row < SPEED_ROWS; row++) {
    const speed = (top * row) / (SPEED_ROWS - 1);
    const slow = speed < lowest;
    chokeFlow[row] = slow ? (low.chokeFlowKgPerS * speed) / lowest : choke(speed);
    surgeFlow[row] = chokeFlow[row]! * surgeShare(speed);
    const surgeRatio = (1 + surgeHead(speed) * over(speed)) ** (1 / MAP_EXPONENT);
    const n = Math.exp(flowPower(speed));
    const q = Math.exp(pressurePower(speed));
    for (let column = 0; column < FLOW_COLUMNS; column++) {
      const x = (FLOW_END * column) / (FLOW_COLUMNS - 1);
      const place = row * FLOW_COLUMNS + column;
      if (slow) headTable[place] = lowHead(x);
      else {
        const ratio = ellipsePressureRatio(x, surgeShare(speed), upright(speed), surgeRatio, n, q);
        headTable[place] = (Math.max(ratio, 0.3) ** MAP_EXPONENT - 1) / over(speed);
      }
      const x1 = Math.min(x, 1);
      // The wheel always works on the air, however little head is left.
      workTable[place] = Math.max(
        work[0]!(speed) + work[1]!(speed) * x1 + work[2]!(speed) * x1 * x1,
        0.15 * work[0]!(speed),
      );
    }
  }
  const bare: CompressorSurface = {
    referenceTemperatureK: map.referenceTemperatureK,
    referencePressurePa: map.referencePressurePa,
    estimated,
    lines,
    lowestLineRpm: lowest,
    highestLineRpm: highest,
    topSpeedRpm: top,
    fit: { rmsPressureRatio: 0, rmsEfficiency: 0, points: 0 },
    head: headTable,
    work: workTable,
    chokeFlow,
    surgeFlow,
  };
  return { ...bare, fit: fitQuality(bare, map) };
};

const tableAt = (table: Float64Array, row: number, x: number): number => {
  const place = Math.min(FLOW_COLUMNS - 1.000001, Math.max(0, (x * (FLOW_COLUMNS - 1)) / FLOW_END));
  const column = Math.floor(place);
  const at = row * FLOW_COLUMNS + column;
  const left = table[at]!;
  return left + (table[at + 1]! - left) * (place - column);
};

/** Head PR^((k-1)/k) - 1 on the surface at a place `row` (fractional) of the speed table. */
const headAtRow = (surface: CompressorSurface, row: number, flow: number): number => {
  const below = Math.min(SPEED_ROWS - 2, Math.floor(row));
  const part = row - below;
  const { chokeFlow } = surface;
  const choke = chokeFlow[below]! + (chokeFlow[below + 1]! - chokeFlow[below]!) * part;
  // A wheel that stands still passes nothing: the flow asks for more speed whatever the pressure.
  const x = flow / Math.max(choke, 1e-9);
  const h0 = tableAt(surface.head, below, x);
  const head = h0 + (tableAt(surface.head, below + 1, x) - h0) * part;
  const share = row / (SPEED_ROWS - 1);
  // Past the table the line falls away steeply, so that a faster line is looked for.
  const past = x > FLOW_END ? 3 * (x - FLOW_END) : 0;
  return head * share * share - past;
};

const ratioOfHead = (head: number): number => Math.max(0, 1 + head) ** (1 / MAP_EXPONENT);

const ratioAtRow = (surface: CompressorSurface, row: number, flow: number): number =>
  ratioOfHead(headAtRow(surface, row, flow));

/**
 * Shaft speed and work at a corrected flow and total pressure ratio.
 *
 * `flowKgPerS` corrected to the surface's reference state [kg/s], > 0; `pressureRatio` total to total [-], > 0.
 * Never fails: a point beyond the map takes the surface's edge and `place` says so (`choked`: no speed reaches it).
 * Worked by bisection over the table's rows and then by the rule of false position inside one.
 */
export const compressorAt = (
  surface: CompressorSurface,
  flowKgPerS: number,
  pressureRatio: number,
  scale: MapScale,
  out: CompressorState,
): CompressorState => {
  const flow = flowKgPerS / scale.flow;
  const head = pressureRatio ** MAP_EXPONENT - 1;
  let low = 0;
  let high = SPEED_ROWS - 1;
  let headHigh = headAtRow(surface, high, flow);
  let row: number;
  let choked = false;
  if (headHigh <= head) {
    row = high;
    choked = true;
  } else {
    let headLow = headAtRow(surface, 0, flow);
    if (headLow >= head) row = 0;
    else {
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        const tried = headAtRow(surface, middle, flow);
        if (tried < head) {
          low = middle;
          headLow = tried;
        } else {
          high = middle;
          headHigh = tried;
        }
      }
      let a = low;
      let b = high;
      let fa = headLow - head;
      let fb = headHigh - head;
      row = b;
      let side = 0;
      for (let i = 0; i < 24; i++) {
        row = fb === fa ? 0.5 * (a + b) : a - (fa * (b - a)) / (fb - fa);
        const f = headAtRow(surface, row, flow) - head;
        if (Math.abs(f) < 3e-9 || b - a < 1e-8) break;
        if (f < 0) {
          a = row;
          fa = f;
          if (side === -1) fb *= 0.5;
          side = -1;
        } else {
          b = row;
          fb = f;
          if (side === 1) fa *= 0.5;
          side = 1;
        }
      }
    }
  }
  const below = Math.min(SPEED_ROWS - 2, Math.floor(row));
  const part = row - below;
  const { chokeFlow, surgeFlow } = surface;
  const choke = chokeFlow[below]! + (chokeFlow[below + 1]! - chokeFlow[below]!) * part;
  const surge = surgeFlow[below]! + (surgeFlow[below + 1]! - surgeFlow[below]!) * part;
  const x = choke > 0 ? flow / choke : FLOW_END;
  const w0 = tableAt(surface.work, below, x);
  const share = row / (SPEED_ROWS - 1);
  const work = ((w0 + (tableAt(surface.work, below + 1, x) - w0) * part) * share * share) / scale.efficiency;
  const speed = share * surface.topSpeedRpm;
  // Where the wheel cannot even reach the head that is asked, the work is at least that of the head at poor efficiency.
  out.workRatio = Math.max(work, head / 0.9);
  out.efficiency = head > 0 && out.workRatio > 0 ? head / out.workRatio : 0;
  out.shaftSpeedRpm = speed * scale.speed;
  out.chokeFlowKgPerS = choke * scale.flow;
  out.surgeFlowKgPerS = surge * scale.flow;
  out.shortfall = choked ? pressureRatio - ratioOfHead(headHigh) : 0;
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

const rowOfSpeed = (surface: CompressorSurface, shaftSpeedRpm: number): number =>
  Math.min(SPEED_ROWS - 1, Math.max(0, (shaftSpeedRpm / surface.topSpeedRpm) * (SPEED_ROWS - 1)));

const along = (table: Float64Array, row: number): number => {
  const below = Math.min(SPEED_ROWS - 2, Math.floor(row));
  return table[below]! + (table[below + 1]! - table[below]!) * (row - below);
};

/** Total pressure ratio [-] at a corrected speed [rpm] and flow [kg/s]; speed held within the surface. */
export const pressureRatioAt = (
  surface: CompressorSurface,
  shaftSpeedRpm: number,
  flowKgPerS: number,
  scale: MapScale = UNIT_SCALE,
): number => ratioAtRow(surface, rowOfSpeed(surface, shaftSpeedRpm / scale.speed), flowKgPerS / scale.flow);

/** Efficiency [-] at a corrected speed [rpm] and flow [kg/s]; 0 where the pressure ratio is 1 or less. */
export const efficiencyAt = (
  surface: CompressorSurface,
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
  along(surface.surgeFlow, rowOfSpeed(surface, shaftSpeedRpm / scale.speed)) * scale.flow;

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
): number => along(surface.surgeFlow, surgeRow(surface, pressureRatio)) * scale.flow;

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

const fitQuality = (surface: CompressorSurface, map: CompressorMapPoints): MapFit => {
  let ratioSum = 0;
  let efficiencySum = 0;
  let points = 0;
  for (const line of map.lines) {
    for (const [flow, ratio, efficiency] of line.points) {
      ratioSum += (pressureRatioAt(surface, line.shaftSpeedRpm, flow) - ratio) ** 2;
      efficiencySum += (efficiencyAt(surface, line.shaftSpeedRpm, flow) - efficiency) ** 2;
      points++;
    }
  }
  return {
    rmsPressureRatio: Math.sqrt(ratioSum / points),
    rmsEfficiency: Math.sqrt(efficiencySum / points),
    points,
  };
};
