/** Statistics of a pull against values worked by hand from the formulas that the logs are made of. */
import { describe, expect, it } from 'vitest';
import { OUTSIDE_PA } from './findings/base-drive.ts';
import { type SyntheticLog, syntheticLog } from './findings/synthetic-log.ts';
import { pullFacts } from './pull-facts.ts';
import { pullStatistics } from './pull-statistics.ts';
import type { Finding, ReviewedPull } from './types.ts';

const band = (p50: number) => ({ p10: 0.95 * p50, p50, p90: 1.05 * p50 });
const RAD = (30 / Math.PI) as number;

/** A pull from 5 to 11 s in which the engine goes from 2,000 to 6,000 rpm in a straight line; 20 readings a second. */
const made = (channels: SyntheticLog['channels'] = {}, pulls: SyntheticLog['pulls'] = [[5, 11, 3]]) => {
  const log = syntheticLog({
    lengthS: 16,
    rateHz: 20,
    barometricPressurePa: OUTSIDE_PA,
    channels: { 'engine-speed': (timeS) => 2000 + ((timeS - 5) / 6) * 4000, ...channels },
    pulls,
  });
  const pull: ReviewedPull = {
    ...log.pulls[0]!,
    powerW: { combined: band(150e3), agree: true },
    powerEngineSpeedRpm: 5000,
    curve: [
      { engineSpeedRpm: 4750, gear: 3, powerW: band(140e3), torqueNm: band((140e3 * RAD) / 4750) },
      { engineSpeedRpm: 5000, gear: 3, powerW: band(150e3), torqueNm: band((150e3 * RAD) / 5000) },
      { engineSpeedRpm: 5250, gear: 3, powerW: band(145e3), torqueNm: band((145e3 * RAD) / 5250) },
    ],
  };
  return { log, pull };
};
const of = (channels: SyntheticLog['channels'], name: string, findings: readonly Finding[] = []) => {
  const { log, pull } = made(channels);
  return pullStatistics(log, pull, findings).channels.find(({ channel }) => channel === name);
};

describe('statistics of a channel in a pull', () => {
  it('of a straight line: ends less two readings, middle, and where the peak was', () => {
    // 300 K at 5 s to 312 K at 11 s: 2 K a second, 0.1 K a reading. Three in a row reach 300.2 from above and 311.8 from below.
    const charge = of({ 'charge-temperature': (timeS) => 300 + 2 * (timeS - 5) }, 'charge-temperature')!;
    expect(charge.least).toBeCloseTo(300.2, 6);
    expect(charge.most).toBeCloseTo(311.8, 6);
    expect(charge.mean).toBeCloseTo(306, 6);
    // 5,000 rpm is passed at 9.5 s: 300 + 2 x 4.5.
    expect(charge.atPeakPower).toBeCloseTo(309, 1);
  });

  it('the mean goes by time, not by readings', () => {
    // 13 V from 5 to 8 s, 14 V from then on, where only every fourth cell is filled.
    const uneven = of(
      { 'battery-voltage': (timeS) => (timeS < 8 ? 13 : Math.round(timeS * 20) % 4 === 0 ? 14 : Number.NaN) },
      'battery-voltage',
    )!;
    // By readings it would be 13.2; by time half and half, less half a step between the two: 13.5.
    expect(Math.abs(uneven.mean - 13.5)).toBeLessThan(0.03);
  });

  it('a reading that stands alone is no extreme', () => {
    const spiked = of({ lambda: (timeS) => (Math.abs(timeS - 9) < 0.02 ? 1.3 : 0.8) }, 'lambda')!;
    expect([spiked.least, spiked.most]).toEqual([0.8, 0.8]);
  });

  it('boost is manifold pressure over the barometer, and agrees with the peak of the review', () => {
    const channels = { 'manifold-pressure': (timeS: number) => 180e3 + 10e3 * Math.sin(timeS) };
    const { log, pull } = made(channels);
    const { channels: found } = pullStatistics(log, pull, []);
    const get = (name: string) => found.find(({ channel }) => channel === name)!;
    expect(get('boost').most).toBeCloseTo(get('manifold-pressure').most - OUTSIDE_PA, 6);
    expect(get('boost').most).toBe(pullFacts(log, pull).peakBoostPa);
    expect(get('boost').mean).toBeCloseTo(get('manifold-pressure').mean - OUTSIDE_PA, 6);
  });

  it('duty comes from the pulse where none is logged', () => {
    // 12 ms at 5,000 rpm: 0.012 x 5000 / 120 = 0.5.
    expect(of({ 'injector-pulse': () => 0.012 }, 'injector-duty')!.atPeakPower).toBeCloseTo(0.5, 2);
    expect(of({ 'injector-pulse': () => 0.012, 'injector-duty': () => 0.7 }, 'injector-duty')!.mean).toBeCloseTo(
      0.7,
      9,
    );
  });

  it('power and torque come from the curve', () => {
    // 150 kW at 5,000 rpm: 150e3 / (5000 x pi / 30) = 286.48 N m; 140 kW at 4,750 rpm: 281.45 N m.
    expect(of({}, 'power')).toEqual({
      channel: 'power',
      least: 140e3,
      most: 150e3,
      mean: 145e3,
      atPeakPower: 150e3,
    });
    const torque = of({}, 'torque')!;
    expect(torque.most).toBeCloseTo(286.48, 2);
    expect(torque.atPeakPower).toBeCloseTo(286.48, 2);
  });

  it('a slow channel is read between its readings at the peak', () => {
    const slow = of({ 'coolant-temperature': { at: (timeS) => 360 + timeS, rateHz: 0.5 } }, 'coolant-temperature')!;
    expect(slow.atPeakPower).toBeCloseTo(369.5, 1);
  });

  it('shifts are left out', () => {
    const { log, pull } = made({ throttle: (timeS) => (timeS > 7 && timeS < 7.4 ? 0 : 1) }, [
      [5, 7, 3],
      [7.4, 11, 4],
    ]);
    const throttle = pullStatistics(log, pull, []).channels.find(({ channel }) => channel === 'throttle')!;
    expect([throttle.least, throttle.mean]).toEqual([1, 1]);
  });
});

describe('findings of a pull', () => {
  const finding = (id: Finding['id'], startS: number, endS: number): Finding => ({
    id,
    severity: 'fix',
    confidence: 0.9,
    startS,
    endS,
    channels: ['lambda'],
    numbers: {},
    says: '',
    couldAlsoBe: [],
    next: '',
    source: '',
  });

  it('are those whose stretch touches it; a sensor proved wrong has no statistics', () => {
    const { log, pull } = made({ lambda: () => 0.8 });
    const findings = [finding('sensor-stuck', 0, 16), finding('knock', 12, 13), finding('lean-under-load', 10.9, 12)];
    const found = pullStatistics(log, pull, findings);
    expect(found.findings.map(({ id }) => id)).toEqual(['sensor-stuck', 'lean-under-load']);
    expect(found.channels.some(({ channel }) => channel === 'lambda')).toBe(false);
  });
});
