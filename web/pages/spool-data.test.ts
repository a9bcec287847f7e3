/** What the Spool sheet says, from an answer made by hand. */
import { describe, expect, it } from 'vitest';
import type { SpoolLoggedPull, SpoolView } from '../../src/app/spool-api.ts';
import { flatten } from '../charts/shape.ts';
import { spoolHair, spoolScales, spoolShapes } from '../charts/spool-traces.ts';
import { METRIC_UNITS, makeUnits } from '../state/units.ts';
import {
  firstSeconds,
  gearWords,
  liftSentence,
  loggedArrivedS,
  loggedSentence,
  speedChoices,
  spoolCurves,
  spoolFacts,
  spoolReadings,
  spoolSentence,
} from './spool-data.ts';

const band = (p50: number, half = 0) => ({ p10: p50 - half, p50, p90: p50 + half });
const times = [0, 1, 2, 3, 6, 10];
const boost = [0, 30e3, 80e3, 101e3, 100e3, 100e3];

const VIEW: SpoolView = {
  schema: 'boostwright.spool/1',
  buildId: 'b',
  conditions: { ambientPressurePa: 100e3, ambientTemperatureK: 293, relativeHumidity: 0.5 },
  gear: 3,
  gears: 5,
  fromEngineSpeedRpm: 2000,
  liftEngineSpeedRpm: 5000,
  lowestEngineSpeedRpm: 1000,
  highestEngineSpeedRpm: 6000,
  revLimitRpm: 6500,
  samples: 100,
  arrived: { timeS: band(2.5, 0.3), engineSpeedRpm: band(2900, 100), chance: 1 },
  reached: null,
  reason: null,
  overshootPa: band(4e3, 2e3),
  overshootS: band(0.5, 0.2),
  peakShaftSpeedRpm: band(120e3, 2e3),
  shaftSpeedLimitRpm: 150e3,
  peakCompressorOutletTemperatureK: band(390, 4),
  highestChargeTemperatureK: band(320, 3),
  repeatedPulls: { pauseS: 25, highestChargeTemperatureK: [band(320, 3), band(322, 3), band(323, 3)] },
  lift: {
    kind: 'surges',
    boostPa: band(100e3, 1e3),
    chanceOfSurge: 0.8,
    leastFlowOverSurgeFlow: band(-0.5, 0.1),
    cycles: band(12, 2),
    leftOfSurgeLineS: band(1.1, 0.1),
    bypassValve: 'none',
    bypassAssumed: false,
  },
  curves: {
    timesS: times,
    engineSpeedRpm: times.map((t) => band(2000 + 400 * t, 20)),
    boostPa: boost.map((value) => band(value, 5e3)),
    boostTargetPa: times.map(() => band(100e3)),
    shaftSpeedRpm: times.map((t) => band(20e3 + 10e3 * Math.min(10, 4 * t), 1e3)),
    chargeTemperatureK: times.map((t) => band(295 + 3 * t, 2)),
  },
  cautions: [],
};
const LOGGED: SpoolLoggedPull = {
  runId: 'r',
  fileName: 'evening.csv',
  buildId: 'b',
  startS: 12,
  fromEngineSpeedRpm: 2010,
  conditions: null,
  timesS: [0, 1, 2, 3.2, 4],
  boostPa: [-10e3, 20e3, 60e3, 95e3, 100e3],
  engineSpeedRpm: [2010, 2400, 2800, 3280, 3600],
};
const units = makeUnits(METRIC_UNITS, null);

describe('what the Spool sheet says', () => {
  it('first in one sentence, and what the log did beside it', () => {
    expect(spoolSentence(VIEW)).toBe('In third gear from 2,000 rpm boost is there after 2.5 ±0.3 s, at 2,900 rpm.');
    expect(loggedArrivedS(VIEW, LOGGED)).toBe(3.2);
    expect(loggedSentence(VIEW, LOGGED)).toMatch(
      /evening\.csv from 2,010 rpm: there after 3\.2 s, later than predicted\./,
    );
    expect(loggedSentence(VIEW, { ...LOGGED, fromEngineSpeedRpm: 2600 })).not.toMatch(/predicted/);
    expect(loggedSentence(VIEW, null)).toBeNull();
    expect(spoolSentence({ ...VIEW, arrived: null, reason: 'target not reached before the rev limit' })).toMatch(
      /does not arrive: target not reached/,
    );
  });

  it('surge in figures, with the chance of it', () => {
    expect(liftSentence(VIEW, units)).toMatch(/no bypass valve, the compressor surges: .* 12 times .* 80 of 100/);
    expect(liftSentence({ ...VIEW, lift: { ...VIEW.lift, kind: 'clear' } }, units)).toMatch(/stays clear of surge/);
  });

  it('every fact and reading, logged beside predicted', () => {
    expect(spoolFacts(VIEW, units).map(([, value]) => value)).toContain('not in this pull');
    const curves = spoolCurves(VIEW, LOGGED, units, 6);
    const [speed, pressure, shaft] = spoolReadings(VIEW, curves, LOGGED, 2, units);
    expect(speed).toMatchObject({ predicted: '2,800 ±20 rpm', logged: '2,800 rpm' });
    expect(pressure?.logged).toMatch(/^0\.6/);
    expect(shaft?.logged).toBeNull();
  });

  it('gears and speeds to choose from', () => {
    expect([1, 3, 9].map(gearWords)).toEqual(['first gear', 'third gear', 'gear 9']);
    expect(speedChoices(1050, 2000, 250, [1680, 9000])).toEqual([1250, 1500, 1680, 1750, 2000]);
  });

  it('shows the spool at once, and the whole where it is short', () => {
    expect(firstSeconds(VIEW, null)).toBe(6);
    expect(firstSeconds(VIEW, LOGGED)).toBe(7);
  });
});

describe('the drawing', () => {
  const curves = spoolCurves(VIEW, LOGGED, units, 6);
  const place = { width: 800, height: 470, compact: false };
  const classes = flatten([...spoolShapes(curves, place), ...spoolHair(curves, place, 2, '2.00 s')]).map(
    ({ props }) => props.className,
  );

  it('has prediction with band hollow, log solid, target, limit and hairline', () => {
    for (const name of ['predl', 'bandfill', 'logl', 'cl', 'wall', 'hair', 'dotp', 'dotl'])
      expect(classes).toContain(name);
    expect(
      flatten(spoolShapes(spoolCurves(VIEW, null, units, 6), place)).map(({ props }) => props.className),
    ).not.toContain('logl');
  });

  it('draws only the seconds shown, inside the sheet', () => {
    const { time, boost: y } = spoolScales(curves, place);
    expect(time.at(0)).toBeLessThan(time.at(6));
    expect(time.at(6)).toBeLessThanOrEqual(800);
    expect(y.at(1.05)).toBeGreaterThan(0);
    const last = flatten(spoolShapes(curves, place))
      .filter(({ props }) => props.className === 'predl')
      .map(({ props }) => Number(/([\d.]+) [\d.]+$/.exec(String(props.d))?.[1]));
    for (const x of last) expect(x).toBeLessThanOrEqual(time.at(6) + 0.1);
  });
});
