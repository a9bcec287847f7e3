import { describe, expect, it } from 'vitest';
import { readLog } from './read-log.ts';
import { drive, type Leg, type Moment, TEST_LEGS, TEST_RATIOS, USUAL_COLUMNS, written } from './test-drive.ts';
import type { KnownGearing, Log } from './types.ts';

type Columns = Record<string, (moment: Moment, i: number) => string | number>;
const logOf = (
  moments: readonly Moment[],
  columns: Columns = { ...USUAL_COLUMNS },
  gearing: KnownGearing | null = { rpmPerMPerS: TEST_RATIOS },
): Log => {
  const result = readLog(new TextEncoder().encode(written(moments, columns)), gearing ? { gearing } : {});
  if (!result.ok) throw new Error(result.problem.says);
  return result.log;
};
const without = (name: string, more: Columns = {}): Columns =>
  Object.fromEntries(Object.entries({ ...USUAL_COLUMNS, ...more }).filter(([header]) => header !== name));
const kinds = (log: Log): string[] => [...new Set(log.segments.map(({ kind }) => kind))];

describe('pulls of a drive whose edges are known exactly', () => {
  it.each([10, 20, 50, 100])('finds start, shift, end and gears at %d rows a second', (rateHz) => {
    const { pulls } = logOf(drive(TEST_LEGS, rateHz, 12));
    expect(pulls.length).toBe(1);
    const [pull] = pulls;
    // A reading tells the time of an edge to within one period.
    expect(Math.abs(pull!.startS - 5)).toBeLessThanOrEqual(1 / rateHz);
    expect(Math.abs(pull!.endS - 12.6)).toBeLessThanOrEqual(1 / rateHz);
    expect(pull!.shiftsS.length).toBe(1);
    expect(Math.abs(pull!.shiftsS[0]! - 8.2)).toBeLessThanOrEqual(1 / rateHz);
    expect(pull!.gears).toEqual([2, 3]);
    expect(pull!.parts.map(({ gear }) => gear)).toEqual([2, 3]);
    expect(pull!.maxEngineSpeedRpm).toBeGreaterThan(6000);
  });
  it('names gears though the speed reads a tenth wrong', () => {
    for (const factor of [0.88, 0.9, 1.1, 1.12]) {
      const columns = {
        ...USUAL_COLUMNS,
        'Vehicle Speed (km/h)': ({ speedMPerS }: Moment) => (speedMPerS * 3.6 * factor).toFixed(2),
      };
      expect(logOf(drive(TEST_LEGS, 50, 12), columns).pulls[0]!.gears).toEqual([2, 3]);
    }
  });
  it('takes the throttle where there is no pedal, with a travel of its own', () => {
    const columns = without('Pedal (%)', { 'Throttle (%)': ({ pedal }) => 12 + 70 * pedal });
    const { pulls } = logOf(drive(TEST_LEGS, 50, 12), columns);
    expect(pulls.map(({ gears }) => gears)).toEqual([[2, 3]]);
  });
  it('takes a pedal that reads 14 to 78 per cent', () => {
    const columns = { ...USUAL_COLUMNS, 'Pedal (%)': ({ pedal }: Moment) => (14.1 + 63.7 * pedal).toFixed(1) };
    expect(logOf(drive(TEST_LEGS, 50, 12), columns).pulls.length).toBe(1);
  });
  it('takes the throttle when the pedal is stuck, and never a throttle that is always open', () => {
    const stuck = { ...USUAL_COLUMNS, 'Pedal (%)': () => 17, 'Throttle (%)': ({ pedal }: Moment) => 5 + 95 * pedal };
    expect(logOf(drive(TEST_LEGS, 50, 12), stuck).pulls.length).toBe(1);
    const open = without('Pedal (%)', { 'Throttle (%)': (_, i) => 83 + (i % 6) });
    expect(logOf(drive(TEST_LEGS, 50, 12), open).pulls).toEqual([]);
  });
  it('carries a pull over a pedal’s drop-out but not over a lift', () => {
    const dropOut = {
      ...USUAL_COLUMNS,
      'Pedal (%)': ({ pedal, timeS }: Moment) => (timeS > 10 && timeS < 10.3 ? 0 : pedal * 100),
    };
    expect(logOf(drive(TEST_LEGS, 50, 12), dropOut).pulls.length).toBe(1);
    const lifted: Leg[] = [
      TEST_LEGS[0]!,
      { seconds: 3, gear: 2, pedal: 1, acceleration: 4.5 },
      { seconds: 1.5, gear: 2, pedal: 0.1, acceleration: -0.5 },
      { seconds: 2, gear: 2, pedal: 1, acceleration: 4 },
    ];
    expect(logOf(drive(lifted, 50, 9)).pulls.length).toBe(2);
  });
  it('finds no pull in part throttle, in a short stab, or with the engine off', () => {
    const part: Leg[] = [
      { seconds: 5, gear: 2, pedal: 0.2, acceleration: 0 },
      { seconds: 5, gear: 2, pedal: 0.7, acceleration: 2 },
      { seconds: 2, gear: 2, pedal: 0, acceleration: -1 },
    ];
    expect(logOf(drive(part, 50, 12)).pulls).toEqual([]);
    const stab: Leg[] = [
      { seconds: 5, gear: 3, pedal: 0.2, acceleration: 0 },
      { seconds: 0.7, gear: 3, pedal: 1, acceleration: 3 },
      { seconds: 5, gear: 3, pedal: 0, acceleration: -1 },
    ];
    expect(logOf(drive(stab, 50, 14)).pulls).toEqual([]);
    const off = { ...USUAL_COLUMNS, 'Engine Speed (rpm)': () => 0, 'MAP (kPa)': () => 98 };
    expect(logOf(drive(TEST_LEGS, 50, 12), off).pulls).toEqual([]);
  });
  it('splits a pull made through a shift with the foot down', () => {
    const flat = TEST_LEGS.map((leg) => (leg.gear === 0 ? { ...leg, pedal: 1 } : leg));
    const { pulls } = logOf(drive(flat, 50, 12));
    expect(pulls.map(({ gears }) => gears)).toEqual([[2, 3]]);
    expect(Math.abs(pulls[0]!.shiftsS[0]! - 8.2)).toBeLessThan(0.1);
  });
  it('does not let a frozen speed or a spinning wheel change the gear', () => {
    const frozen = {
      ...USUAL_COLUMNS,
      'Vehicle Speed (km/h)': ({ speedMPerS, timeS }: Moment) => (timeS > 9 ? 80 : speedMPerS * 3.6).toString(),
    };
    expect(logOf(drive(TEST_LEGS, 50, 12), frozen).pulls[0]!.gears).toEqual([2, 3]);
    const spun = drive(TEST_LEGS, 50, 12).map((moment) =>
      moment.timeS > 5.2 && moment.timeS < 6.6 ? { ...moment, rpm: moment.rpm * 1.35 } : moment,
    );
    expect(logOf(spun).pulls[0]!.gears).toEqual([2, 3]);
  });
  it('names usual gears without a build', () => {
    // 120, 66 and 43.5 rpm per km/h are a usual first to third gear (common practice, no source).
    expect(logOf(drive(TEST_LEGS, 50, 12), { ...USUAL_COLUMNS }, null).pulls[0]!.gears).toEqual([2, 3]);
  });
});

describe('segments', () => {
  it('cuts a drive into what the car was doing', () => {
    const legs: Leg[] = [
      { seconds: 6, gear: 0, pedal: 0, acceleration: 0 },
      { seconds: 2.5, gear: 1, pedal: 0.8, acceleration: 3.5 },
      { seconds: 8, gear: 2, pedal: 0.2, acceleration: 0 },
      { seconds: 3.2, gear: 2, pedal: 1, acceleration: 4.5 },
      { seconds: 6, gear: 3, pedal: 0, acceleration: -1 },
    ];
    const moments = drive(legs, 50, 0).map((moment) =>
      moment.timeS < 6 ? { ...moment, rpm: moment.timeS < 1 ? 210 : 820 } : moment,
    );
    const log = logOf(moments, { ...USUAL_COLUMNS, 'Coolant (°C)': ({ timeS }) => Math.min(90, 20 + 5 * timeS) });
    expect(kinds(log).sort()).toEqual(['coast', 'crank', 'cruise', 'idle', 'launch', 'pull', 'shift', 'warm-up']);
    const at = (kind: string): number => log.segments.find((segment) => segment.kind === kind)!.startS;
    expect(at('crank')).toBe(0);
    expect(at('idle')).toBeCloseTo(1, 1);
    expect(at('launch')).toBeGreaterThan(5.5);
    expect(at('pull')).toBeCloseTo(16.5, 1);
    // The coolant passes 70 °C after ten seconds.
    expect(log.segments.find(({ kind }) => kind === 'warm-up')!.endS).toBeCloseTo(10, 0);
  });
  it('gives pull and shift segments where the pulls are', () => {
    const log = logOf(drive(TEST_LEGS, 50, 12));
    expect(log.segments.filter(({ kind }) => kind === 'shift').map(({ gear }) => gear)).toEqual([3]);
    expect(kinds(log)).toContain('coast');
  });
  it('finds gear changes at part throttle, by the foot where it shows and by the ratio where it does not', () => {
    const legs: Leg[] = [
      { seconds: 4, gear: 2, pedal: 0.3, acceleration: 0.8 },
      { seconds: 0.9, gear: 0, pedal: 0, acceleration: -0.1 },
      { seconds: 4, gear: 3, pedal: 0.3, acceleration: 0.6 },
      { seconds: 0.8, gear: 0, pedal: 0, acceleration: -0.1 },
      { seconds: 4, gear: 2, pedal: 0.2, acceleration: 0 },
    ];
    for (const columns of [{ ...USUAL_COLUMNS }, without('Pedal (%)')]) {
      const shifts = logOf(drive(legs, 25, 9), columns).segments.filter(({ kind }) => kind === 'shift');
      expect(shifts.map(({ gear }) => gear)).toEqual([3, 2]);
      expect(Math.abs(shifts[0]!.startS - 4)).toBeLessThan(0.2);
      expect(Math.abs(shifts[0]!.endS - 4.9)).toBeLessThan(0.2);
      expect(Math.abs(shifts[1]!.startS - 8.9)).toBeLessThan(0.2);
      expect(Math.abs(shifts[1]!.endS - 9.7)).toBeLessThan(0.2);
    }
  });
  it('takes an engine that idles down a hill for no gear change', () => {
    const rolling = drive([{ seconds: 20, gear: 0, pedal: 0, acceleration: -0.5 }], 25, 14).map((moment) => ({
      ...moment,
      rpm: 800,
    }));
    const { segments } = logOf(rolling.map((moment, i) => ({ ...moment, pedal: i < 30 ? 0.5 : 0 })));
    expect(segments.filter(({ kind }) => kind === 'shift')).toEqual([]);
  });
  it('ends a coast where the brakes come on, out of gear too', () => {
    const legs: Leg[] = [
      { seconds: 4, gear: 4, pedal: 0.3, acceleration: 0 },
      { seconds: 25, gear: 0, pedal: 0, acceleration: -0.3 },
      { seconds: 3, gear: 0, pedal: 0, acceleration: -3 },
    ];
    const moments = drive(legs, 25, 30).map((moment) =>
      moment.timeS > 4 ? { ...moment, rpm: Math.max(820, 3500 - 2000 * (moment.timeS - 4)) } : moment,
    );
    const coasts = logOf(moments).segments.filter(({ kind }) => kind === 'coast');
    expect(coasts.length).toBe(1);
    expect(coasts[0]!.gear).toBe(undefined);
    expect(Math.abs(coasts[0]!.startS - 4)).toBeLessThan(0.2);
    expect(Math.abs(coasts[0]!.endS - 29)).toBeLessThan(0.2);
  });
});
