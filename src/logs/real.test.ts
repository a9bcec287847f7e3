/**
 * Measured road logs beside the checkout (../shared/real; M. Weber, "Automotive OBD-II Dataset", Karlsruhe Institute of
 * Technology, 2023, DOI 10.35097/1130, CC BY 4.0). Expected values are those of the README that came with them. Not run,
 * and said so, where the files are absent.
 */
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { driverDemand, fullStretches } from './demand.ts';
import { readLog } from './read-log.ts';
import { channelNamed, quantileOf } from './sampling.ts';
import { readTable } from './table.ts';
import type { ChannelName, Log } from './types.ts';

const FOLDER = fileURLToPath(new URL('../../../shared/real/', import.meta.url));
const isPresent = existsSync(FOLDER);

const logs = new Map<string, Log>();
const logOf = (name: string): Log => {
  const known = logs.get(name);
  if (known) return known;
  const result = readLog(readFileSync(`${FOLDER}${name}.csv`));
  if (!result.ok) throw new Error(result.problem.says);
  logs.set(name, result.log);
  return result.log;
};
const highest = (log: Log, name: ChannelName): number => quantileOf(channelNamed(log, name)!.values, 1)!;

describe('measured road logs', () => {
  it('are beside the checkout, or this says that they are not', () => {
    if (!isPresent) console.log('not run: measured road logs (../shared/real is absent)');
    expect(existsSync(`${FOLDER}road-1.csv`)).toBe(isPresent);
  });

  describe.runIf(isPresent)('read', () => {
    it.each([
      ['road-1', 41050, 3521.633, 3563, 211, 233, 121.08],
      ['road-2', 17934, 2216.91, 2707, 102, 242, 99.47],
      ['road-3', 59634, 5398.682, 3658, 217, 236, 125.66],
      ['road-4', 9701, 1127.12, 2835, 86, 235, 84.83],
    ])('%s: rows, duration and highest readings', (name, rows, durationS, rpm, kmh, manifoldKpa, airGPerS) => {
      const log = logOf(name);
      expect(log.table.rows).toBe(rows);
      expect(log.endS - log.startS).toBeCloseTo(durationS, 2);
      expect(highest(log, 'engine-speed')).toBe(rpm);
      expect(highest(log, 'vehicle-speed') * 3.6).toBeCloseTo(kmh, 6);
      expect(highest(log, 'manifold-pressure')).toBeCloseTo(manifoldKpa * 1e3, 6);
      expect(highest(log, 'air-flow') * 1e3).toBeCloseTo(airGPerS, 6);
      expect(log.unrecognised).toEqual([]);
    });
    it('one column is refreshed a row: every channel has a tenth of the rows', () => {
      for (const name of ['road-1', 'road-3', 'road-4']) {
        const log = logOf(name);
        const busy = ['engine-speed', 'manifold-pressure', 'vehicle-speed', 'air-flow', 'pedal'] as const;
        for (const channel of busy) {
          const { rateHz, values } = channelNamed(log, channel)!;
          expect(rateHz).toBeGreaterThan(0.8);
          expect(rateHz).toBeLessThan(1.3);
          expect(values.length / log.table.rows).toBeCloseTo(0.1, 2);
        }
      }
    });
    it('the clock of road-1 falls back once, road-2 pauses for ten minutes and is split there', () => {
      expect(logOf('road-1').clockFaults.map(({ kind }) => kind)).toEqual(['backward']);
      const longest = Math.max(...logOf('road-2').clockFaults.map(({ startS, endS }) => endS - startS));
      expect(longest).toBeCloseTo(603.87, 2);
      expect(logOf('road-2').pieces.length).toBeGreaterThan(1);
      expect(logOf('road-4').clockFaults).toEqual([]);
    });
    it('the pedal is the demand, closed at 14.1 and full at 77.6 to 78.4 per cent; the always open throttle is not', () => {
      const demand = driverDemand(logOf('road-3'))!;
      expect(demand.channel.channel).toBe('pedal');
      expect(demand.closed).toBeCloseTo(0.141, 3);
      expect(demand.full).toBeGreaterThan(0.775);
      expect(demand.full).toBeLessThan(0.785);
    });
    it.each([
      ['road-1', 3, 39.2],
      ['road-3', 9, 60.3],
    ])('%s: full-pedal stretches with the engine running', (name, count, longestS) => {
      const log = logOf(name);
      const rpm = channelNamed(log, 'engine-speed')!;
      const runs = fullStretches(driverDemand(log)!).filter(
        ({ startS, endS }) =>
          endS - startS >= 1.5 && rpm.timesS.some((timeS, i) => timeS > startS && timeS < endS && rpm.values[i]! > 600),
      );
      // The README counts stretches of two seconds and more from held cells; readings 0.9 s apart see the short ones half a second off.
      expect(Math.abs(runs.length - count)).toBeLessThanOrEqual(1);
      expect(Math.abs(Math.max(...runs.map(({ startS, endS }) => endS - startS)) - longestS)).toBeLessThan(1.8);
    });
    it('finds the long pull of road-3, 3274 to 3334 s in one gear, and none where the engine is off or the pedal never full', () => {
      const { pulls, startS } = logOf('road-3');
      const long = pulls.find((pull) => Math.abs(pull.startS - startS - 3274) < 2)!;
      expect(Math.abs(long.endS - startS - 3334)).toBeLessThan(2);
      expect(long.parts.length).toBe(1);
      expect(logOf('road-2').pulls).toEqual([]);
      expect(logOf('road-4').pulls).toEqual([]);
    });
    it('clusters engine over road speed at 58.55, 37.25, 25.70, 20.22 and 16.89 rpm per km/h, second to sixth gear', () => {
      const { gearClusters } = logOf('road-1');
      const seen = gearClusters.map(({ rpmPerMPerS }) => rpmPerMPerS / 3.6);
      expect(gearClusters.map(({ gear }) => gear)).toEqual([2, 3, 4, 5, 6]);
      for (const [i, wanted] of [58.55, 37.25, 25.7, 20.22, 16.89].entries())
        expect(Math.abs(seen[i]! / wanted - 1)).toBeLessThan(0.005);
    });
    it('the intake air sensor stays near the outside air and is not taken for the charge', () => {
      expect(channelNamed(logOf('road-3'), 'intake-temperature')!.column).toContain('Intake Air');
      expect(channelNamed(logOf('road-3'), 'ambient-temperature')!.column).toContain('Ambient');
      expect(channelNamed(logOf('road-3'), 'charge-temperature')).toBe(null);
    });
    it('reads test-cell tables with line breaks in their headers when a rate is given, and asks for it otherwise', () => {
      const bytes = readFileSync(`${FOLDER}cell-petrol-turbo-1600cc.csv`);
      expect(readTable(bytes)).toMatchObject({ ok: false, problem: { code: 'needs-rate' } });
      const read = readTable(bytes, { assumedRateHz: 1 });
      if (!read.ok) throw new Error(read.problem.says);
      expect(read.table.columns.length).toBe(5);
      expect(quantileOf(read.table.columns[1]!.cells, 1)).toBeGreaterThan(240);
    });
  });
});
