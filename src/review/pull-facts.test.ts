import { describe, expect, it } from 'vitest';
import {
  ASKED_PA,
  asReviewed,
  demoBuild,
  healthyChannels,
  OUTSIDE_PA,
  PULL_FROM_S,
  PULL_TO_S,
} from './findings/base-drive.ts';
import { syntheticLog } from './findings/synthetic-log.ts';
import { pullFacts, standingMaximum, standingMinimum } from './pull-facts.ts';

const logWith = (change: Parameters<typeof syntheticLog>[0]['channels'] = {}) =>
  syntheticLog({
    lengthS: 16,
    barometricPressurePa: OUTSIDE_PA,
    channels: { ...healthyChannels(demoBuild()), ...change },
    pulls: [[PULL_FROM_S, PULL_TO_S, 3]],
  });
const factsOf = (log: ReturnType<typeof logWith>) => pullFacts(log, asReviewed(log)[0]!);

describe('standing extremes', () => {
  it('are what three readings in a row reach', () => {
    expect(standingMaximum([1, 1, 9, 1, 2, 3, 3, 3, 1])).toBe(3);
    expect(standingMinimum([5, 5, 0, 5, 4, 4, 4])).toBe(4);
    expect(standingMaximum([])).toBeNull();
    expect(standingMaximum([7, 8])).toBe(7);
  });
});

describe('facts of a pull', () => {
  it('tells what the drive was made of', () => {
    const facts = factsOf(logWith());
    expect(Math.abs(facts.peakBoostPa! - (ASKED_PA - OUTSIDE_PA))).toBeLessThan(1500);
    expect(facts.maxInjectorDuty).toBeCloseTo(0.7, 2);
    expect(facts.maxKnockRetardDeg).toBe(0);
    expect(facts.minLambda!).toBeGreaterThan(0.79);
    expect(facts.maxLambda!).toBeLessThan(0.95);
    expect(facts.maxChargeTemperatureK).toBeCloseTo(322, 0);
  });

  it('does not take one odd reading for a peak', () => {
    const healthy = healthyChannels(demoBuild())['manifold-pressure'] as (timeS: number) => number;
    const spiked = factsOf(
      logWith({ 'manifold-pressure': (timeS) => (Math.abs(timeS - 9) < 0.005 ? 320e3 : healthy(timeS)) }),
    );
    expect(spiked.peakBoostPa!).toBeLessThan(105e3);
  });

  it('leaves out what was not logged or is not believed', () => {
    const log = logWith();
    const without = { ...log, channels: log.channels.filter(({ channel }) => channel !== 'lambda') };
    expect('minLambda' in factsOf(without)).toBe(false);
    expect('peakBoostPa' in pullFacts(log, log.pulls[0]!, new Set(['manifold-pressure']))).toBe(false);
  });

  it('takes duty from the pulse where no duty was logged (IN-04: 14.0 ms at 7000 rpm is 81.67 %)', () => {
    const log = logWith({ 'injector-pulse': () => 14e-3, 'engine-speed': () => 7000 });
    const without = { ...log, channels: log.channels.filter(({ channel }) => channel !== 'injector-duty') };
    expect(factsOf(without).maxInjectorDuty).toBeCloseTo(0.8167, 3);
  });
});
