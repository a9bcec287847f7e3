/** What is doubtful about a map that was read: points, lines and coverage, each with the line of the file. */
import type { CompressorMapData } from '../../car/index.ts';
import type { MapFit } from '../../physics/index.ts';

export interface MapNote {
  /** 1-based line of the file; null for the map as a whole. */
  readonly line: number | null;
  /** Refused: not used. Left out: used once or in part. Doubtful: used, look at it. Taken: assumed, say if it is otherwise. */
  readonly kind: 'refused' | 'left out' | 'doubtful' | 'taken';
  readonly says: string;
}

interface Facts {
  readonly map: CompressorMapData;
  readonly fit: MapFit;
  readonly fileLines: readonly (readonly number[])[];
  /** Points of each line in the order of the file. */
  readonly inFileOrder: readonly (readonly { readonly row: { readonly line: number }; readonly flow: number }[])[];
  readonly basis: 'total to total' | 'total to static' | null;
  /** Whether the file marks the surge point of each line. */
  readonly marked: readonly boolean[];
  readonly percent: boolean;
  readonly efficiencySaid: boolean;
}

const rpm = (speed: number): string => `${Math.round(speed)} rpm`;
const percentOf = (share: number, decimals = 1): string => `${(100 * share).toFixed(decimals)} %`;

/** Neighbouring speeds further apart than this leave much to the curve between them (house convention). */
const SPEED_GAP = 1.3;
/** A line that ends before this share of its choke flow says little of where it chokes (house convention). */
const SHORT_OF_CHOKE = 0.75;

/** Notes on strays, order, rises, surge marks, coverage and what was taken for granted. */
export const mapNotes = (facts: Facts): MapNote[] => {
  const { map, fit, fileLines, inFileOrder, basis, marked, percent, efficiencySaid } = facts;
  const notes: MapNote[] = [];
  for (const { line, point, shaftSpeedRpm, pressureRatioOff, efficiencyOff } of fit.strays) {
    const of = [
      Math.abs(pressureRatioOff) > 0.01
        ? `${percentOf(Math.abs(pressureRatioOff))} of pressure ratio ${pressureRatioOff > 0 ? 'above' : 'below'}`
        : '',
      Math.abs(efficiencyOff) > 0.01
        ? `${(100 * Math.abs(efficiencyOff)).toFixed(1)} points of efficiency ${efficiencyOff > 0 ? 'above' : 'below'}`
        : '',
    ].filter((text) => text !== '');
    notes.push({
      line: fileLines[line]?.[point] ?? null,
      kind: 'doubtful',
      says: `lies ${of.join(' and ')} its speed line (${rpm(shaftSpeedRpm)}); it was given next to no weight. Check it for a slip of the hand`,
    });
  }
  inFileOrder.forEach((points, index) => {
    const up = points.filter((point, i) => i > 0 && point.flow > points[i - 1]!.flow).length;
    const rising = up >= points.length - 1 - up;
    const back = points.filter(
      (point, i) => i > 0 && point.flow > points[i - 1]!.flow !== rising && point.flow !== points[i - 1]!.flow,
    );
    if (back.length > 0) {
      notes.push({
        line: back[0]!.row.line,
        kind: 'doubtful',
        says: `speed line ${rpm(map.lines[index]!.shaftSpeedRpm)} goes back in flow ${back.length === 1 ? 'once' : `${back.length} times`}; its points were put in order of flow`,
      });
    }
  });
  fit.lines.forEach((quality, index) => {
    const first = fileLines[index]?.[0] ?? null;
    if (quality.rises > 0) {
      notes.push({
        line: first,
        kind: 'doubtful',
        says: `speed line ${rpm(quality.shaftSpeedRpm)}: pressure ratio rises with flow in ${quality.rises === 1 ? 'one step' : `${quality.rises} steps`} where the line falls by then; the fit goes through the middle`,
      });
    }
    if (quality.toChokeShare < SHORT_OF_CHOKE && map.lines[index]!.chokeFlow === undefined) {
      notes.push({
        line: first,
        kind: 'doubtful',
        says: `speed line ${rpm(quality.shaftSpeedRpm)} ends at some ${percentOf(quality.toChokeShare, 0)} of the flow at which it would choke; where it chokes is guessed from its bend`,
      });
    }
  });
  map.lines.forEach((line, index) => {
    const before = map.lines[index - 1];
    if (before && line.shaftSpeedRpm / before.shaftSpeedRpm > SPEED_GAP) {
      notes.push({
        line: null,
        kind: 'doubtful',
        says: `nothing between ${rpm(before.shaftSpeedRpm)} and ${rpm(line.shaftSpeedRpm)}; what lies there follows from the lines on both sides`,
      });
    }
  });
  const unmarked = marked.filter((mark) => !mark).length;
  if (unmarked > 0) {
    notes.push({
      line: null,
      kind: 'taken',
      says: `${unmarked === marked.length ? 'no line marks its surge point' : `${unmarked} of ${marked.length} lines mark no surge point`}; the point of least flow is taken as the surge point`,
    });
  }
  if (basis === null) {
    notes.push({
      line: null,
      kind: 'taken',
      says: 'the file does not say whether pressure ratios count the speed of the air at the outlet; total to total is taken (say "total to static" with the outlet diameter if not)',
    });
  }
  if (!efficiencySaid) {
    notes.push({
      line: null,
      kind: 'taken',
      says: `efficiency has no unit; its numbers read as ${percent ? 'percent' : 'shares of one'}`,
    });
  }
  return notes;
};
