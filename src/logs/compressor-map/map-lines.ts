/** Points of a map file gathered into speed lines, and written units turned into the map's own. */
import type { MapNote } from './map-notes.ts';
import type { RawRow } from './map-text.ts';
import type { FlowUnit, SpeedUnit } from './map-units.ts';

/** Lines whose speeds differ by less are one speed line: a stand holds its speed to about so much. */
export const SAME_SPEED = 0.012;
const LEAST_POINTS = 3;
const POINTS_MOST = 100;

export interface Point {
  readonly row: RawRow;
  readonly speedRpm: number;
  readonly flow: number;
  readonly pressureRatio: number;
  /** NaN where the row has none. */
  readonly efficiency: number;
}

/** Points of one speed in the order of the file, with its marks. */
export interface SpeedLine {
  readonly speedRpm: number;
  readonly points: readonly Point[];
  readonly surge?: number;
  readonly choke?: number;
}

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

/** Points of one speed, slowest line first; members keep the order of the file. */
const linesOf = (points: readonly Point[]): Point[][] => {
  const lines: Point[][] = [];
  for (const point of [...points].sort((a, b) => a.speedRpm - b.speedRpm)) {
    const line = lines[lines.length - 1];
    if (line && point.speedRpm < mean(line.map(({ speedRpm }) => speedRpm)) * (1 + SAME_SPEED)) line.push(point);
    else lines.push([point]);
  }
  return lines.map((line) => [...line].sort((a, b) => a.row.line - b.row.line));
};

/** Speed lines that can be fitted; what cannot goes to `notes` with its line of the file. */
export const speedLines = (points: readonly Point[], notes: MapNote[]): SpeedLine[] => {
  const kept: SpeedLine[] = [];
  for (const line of linesOf(points)) {
    const speedRpm = Math.round(mean(line.map((point) => point.speedRpm)));
    const marked = (what: string) => line.find(({ row }) => row.mark.includes(what))?.flow;
    const unique: Point[] = [];
    for (const point of line) {
      if (!Number.isFinite(point.efficiency)) {
        if (!/surge|choke/.test(point.row.mark)) {
          notes.push({ line: point.row.line, kind: 'refused', says: 'has no efficiency; left out' });
        }
        continue;
      }
      const twin = unique.find(
        (other) =>
          Math.abs(other.flow - point.flow) < 1e-4 * point.flow &&
          Math.abs(other.pressureRatio - point.pressureRatio) < 1e-4,
      );
      if (twin)
        notes.push({
          line: point.row.line,
          kind: 'left out',
          says: `repeats the point of line ${twin.row.line}; left out`,
        });
      else unique.push(point);
    }
    const flows = [...unique].map(({ flow }) => flow).sort((a, b) => a - b);
    const different = flows.filter((flow, i) => i === 0 || flow - flows[i - 1]! > 1e-5 * flow).length;
    const span = flows.length > 0 ? flows[flows.length - 1]! - flows[0]! : 0;
    if (different < LEAST_POINTS || span < 0.03 * (flows[flows.length - 1] ?? 0)) {
      notes.push({
        line: line[0]!.row.line,
        kind: 'refused',
        says: `speed line ${speedRpm} rpm has ${different === 1 ? 'one point' : `${different} points`} of different flow; at least three that lie apart are needed, so the line is left out`,
      });
      continue;
    }
    if (unique.length > POINTS_MOST) {
      notes.push({
        line: line[0]!.row.line,
        kind: 'left out',
        says: `speed line ${speedRpm} rpm has ${unique.length} points; every ${Math.ceil(unique.length / POINTS_MOST)}th is taken`,
      });
      const step = Math.ceil(unique.length / POINTS_MOST);
      unique.sort((a, b) => a.flow - b.flow);
      unique.splice(0, unique.length, ...unique.filter((_, i) => i % step === 0));
    }
    const surge = marked('surge');
    const choke = marked('choke');
    kept.push({
      points: unique,
      speedRpm,
      ...(surge === undefined ? {} : { surge }),
      ...(choke === undefined || choke <= flows[flows.length - 1]! * 0.999 ? {} : { choke }),
    });
  }
  return kept;
};

/** From a written flow to corrected mass flow [kg/s]; volume is that at the reference state (ideal gas, R = 287.05). */
export const toMassFlow = (unit: FlowUnit, reference: { temperatureK: number; pressurePa: number }) => {
  switch (unit.kind) {
    case 'mass':
      return (flow: number) => flow * unit.kgPerS;
    case 'volume': {
      const density = reference.pressurePa / (287.05 * reference.temperatureK);
      return (flow: number) => flow * unit.m3PerS * density;
    }
    case 'parameter':
      return (flow: number) => (flow * unit.kgSqrtKPerSPa * reference.pressurePa) / Math.sqrt(reference.temperatureK);
  }
};

/** From a written speed to shaft speed [rpm]. */
export const toShaftSpeed = (unit: SpeedUnit, reference: { temperatureK: number }, exducerM: number | undefined) => {
  switch (unit.kind) {
    case 'shaft':
      return (speed: number) => speed * unit.rpm;
    case 'tip':
      return (speed: number) => (60 * speed * unit.mPerS) / (Math.PI * (exducerM ?? Number.NaN));
    case 'parameter':
      return (speed: number) => speed * unit.rpmPerSqrtK * Math.sqrt(reference.temperatureK);
  }
};
