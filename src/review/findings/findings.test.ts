/**
 * Every rule on drives made from formulas: the sign itself, and near misses that must stay silent. The thresholds are
 * common practice (no source) unless a rule names one; what is checked here is that the rule does what its text says.
 */
import { describe, expect, test } from 'vitest';
import { FINDING_IDS, type FindingId } from '../types.ts';
import {
  ASKED_PA,
  type Drive,
  demoBuild,
  engineSpeed,
  inPull,
  manifold,
  meteredKgPerS,
  OUTSIDE_PA,
  review,
  rpmPerMPerS,
} from './base-drive.ts';
import { RULES } from './index.ts';
import { ripple, through } from './synthetic-log.ts';

const build = demoBuild();
const road = (timeS: number) => engineSpeed(timeS) / rpmPerMPerS(build);
const between = (from: number, to: number) => (timeS: number) => timeS >= from && timeS < to;
const lambdaWith = (extra: (timeS: number) => number) => (timeS: number) =>
  through([0, 1], [5.1, 1], [5.7, 0.83], [11, 0.83], [11.3, 1])(timeS) + extra(timeS) + ripple(0.003)(timeS);
const boostWith = (extra: (timeS: number) => number) => (timeS: number) =>
  manifold(timeS) + extra(timeS) + ripple(300)(timeS);
/** One lone reading at each time. */
const lone =
  (at: (timeS: number) => number, jump: number, ...times: number[]) =>
  (timeS: number) =>
    at(timeS) + (times.some((one) => Math.abs(timeS - one) < 0.02) ? jump : 0);
/** Engine runs up with the wheels until it breaks loose between 7 s and 9 s. */
const runaway = (share: number) => through([0, 1], [6.8, 1], [7.3, 1 + share], [8.5, 1 + share], [9.2, 1]);

interface Case {
  readonly id: FindingId;
  readonly what: string;
  readonly drive: Drive;
}

const FIRES: readonly Case[] = [
  {
    id: 'airflow-meter-ceiling',
    what: 'the meter stands at its greatest value while speed and boost go on',
    drive: {
      change: { 'air-flow': (timeS) => Math.min(meteredKgPerS(build)(timeS), 0.8 * meteredKgPerS(build)(10.9)) },
    },
  },
  {
    id: 'boost-leak',
    what: '12 % more metered than swallowed and as much too rich',
    drive: {
      change: {
        'air-flow': (timeS) => meteredKgPerS(build)(timeS) * (manifold(timeS) > OUTSIDE_PA ? 1.13 : 1),
        lambda: lambdaWith((timeS) => (manifold(timeS) > 110e3 ? -0.095 : 0)),
      },
    },
  },
  {
    id: 'rail-pressure-droop',
    what: 'rail over manifold falls by 15 % from 8 s on',
    drive: {
      change: { 'fuel-pressure': (timeS) => manifold(timeS) - OUTSIDE_PA + (between(8, 11)(timeS) ? 255e3 : 300e3) },
    },
  },
  {
    id: 'injector-near-static',
    what: 'duty 95 % for a second',
    drive: { change: { 'injector-duty': (timeS) => (between(10, 11)(timeS) ? 0.95 : 0.6) } },
  },
  {
    id: 'injector-near-static',
    what: 'no duty logged, pulse of 19 ms at 6000 rpm',
    drive: { without: ['injector-duty'], change: { 'injector-pulse': (timeS) => (inPull(timeS) ? 0.019 : 0.003) } },
  },
  {
    id: 'lean-under-load',
    what: '0.09 lean for a second',
    drive: { change: { lambda: lambdaWith((timeS) => (between(8, 9)(timeS) ? 0.09 : 0)) } },
  },
  {
    id: 'rich-under-load',
    what: '0.09 rich all through',
    drive: { change: { lambda: lambdaWith((timeS) => (timeS > 6 && inPull(timeS) ? -0.09 : 0)) } },
  },
  {
    id: 'knock',
    what: '3 degrees pulled',
    drive: { change: { 'knock-retard': (timeS) => (between(8, 9)(timeS) ? 3 : 0) } },
  },
  {
    id: 'knock',
    what: 'counted, with no retard logged',
    drive: { without: ['knock-retard'], change: { 'knock-count': (timeS) => (timeS < 8 ? 0 : timeS < 8.5 ? 2 : 5) } },
  },
  {
    id: 'knock',
    what: 'level only, twice its usual value',
    drive: {
      without: ['knock-retard'],
      change: { 'knock-level': (timeS) => (between(8, 8.15)(timeS) ? 2 : 0.8) * (engineSpeed(timeS) / 6000) },
    },
  },
  {
    id: 'hot-charge',
    what: '20 K over what the cooler gives',
    drive: { change: { 'charge-temperature': through([0, 303], [5, 303], [8, 335], [11, 345], [16, 330]) } },
  },
  {
    id: 'heat-soak',
    what: 'the second of two like pulls ends 15 K hotter',
    drive: {
      lengthS: 36,
      pulls: [
        [5, 11, 3],
        [25, 31, 3],
      ],
      change: {
        'engine-speed': (timeS) => engineSpeed(timeS % 20),
        'vehicle-speed': (timeS) => road(timeS % 20),
        'manifold-pressure': (timeS) => manifold(timeS % 20) + ripple(300)(timeS),
        'charge-temperature': (timeS) =>
          through([0, 301], [5, 301], [11, 318], [20, 308])(timeS % 20) + (timeS > 20 ? 15 : 0),
      },
    },
  },
  {
    id: 'boost-creep',
    what: 'rises to 20 kPa over with the duty at nought',
    drive: {
      change: {
        'manifold-pressure': boostWith(through([0, 0], [8.5, 0], [11, 22e3], [11.05, 0])),
        'wastegate-duty': through([0, 0.4], [8.5, 0.4], [9.5, 0]),
      },
    },
  },
  {
    id: 'boost-taper',
    what: 'falls 20 kPa under with the duty at its end',
    drive: {
      change: {
        'manifold-pressure': boostWith(through([0, 0], [8.5, 0], [10.8, -20e3], [11, -20e3], [11.05, 0])),
        'wastegate-duty': through([0, 0.5], [8.5, 0.6], [9.5, 1]),
      },
    },
  },
  {
    id: 'boost-overshoot',
    what: '20 kPa over as boost arrives, gone a second later',
    drive: {
      change: { 'manifold-pressure': boostWith(through([0, 0], [6.9, 0], [7.2, 20e3], [7.6, 18e3], [8.2, 0])) },
    },
  },
  {
    id: 'compressor-surge',
    what: 'boost swings 4 % ten times a second',
    drive: {
      change: {
        'manifold-pressure': boostWith((timeS) =>
          between(6.2, 7.4)(timeS) ? 6e3 * (Math.floor(timeS * 20) % 2 ? 1 : -1) : 0,
        ),
      },
    },
  },
  {
    id: 'shaft-overspeed',
    what: '4 % over the limit',
    drive: {
      change: {
        'shaft-speed': (timeS) =>
          build.car.turbocharger.shaftSpeedLimitRpm *
          through([0, 0.3], [5, 0.3], [9, 1.04], [11, 1.04], [14, 0.3])(timeS),
      },
    },
  },
  {
    id: 'clutch-slip',
    what: 'engine 12 % ahead of the driven wheels',
    drive: { change: { 'engine-speed': (timeS) => engineSpeed(timeS) * runaway(0.12)(timeS), 'vehicle-speed': road } },
  },
  {
    id: 'wheel-spin',
    what: 'driven wheels 25 % ahead of the undriven',
    drive: {
      change: {
        'engine-speed': (timeS) => engineSpeed(timeS) * runaway(0.25)(timeS),
        'vehicle-speed': (timeS) => road(timeS) * runaway(0.25)(timeS),
        'wheel-speed-undriven': road,
      },
    },
  },
  {
    id: 'low-oil-pressure',
    what: 'falls by a third as speed rises',
    drive: {
      change: {
        'oil-pressure': (timeS) => Math.min(440e3, 120 * engineSpeed(timeS)) * (engineSpeed(timeS) > 4500 ? 0.66 : 1),
      },
    },
  },
  {
    id: 'coolant-hot',
    what: '112 degrees',
    drive: { change: { 'coolant-temperature': through([0, 273.15 + 92], [16, 273.15 + 112]) } },
  },
  { id: 'charging-low', what: '12.3 V running', drive: { lengthS: 40, change: { 'battery-voltage': () => 12.3 } } },
  {
    id: 'injection-flow-lost',
    what: 'flow stops at 9 s',
    drive: { change: { 'injection-flow': (timeS) => (between(6.2, 9)(timeS) ? 6e-6 : 0) } },
  },
  {
    id: 'pressure-sensor-ceiling',
    what: 'reading stands at 190 kPa',
    drive: {
      change: { 'manifold-pressure': (timeS) => Math.min(190e3, manifold(timeS) + 200 * Math.sin(40 * timeS)) },
    },
  },
  {
    id: 'sensor-stuck',
    what: 'road speed stands while the engine runs up',
    drive: {
      change: { 'vehicle-speed': (timeS) => (timeS > 7 ? road(7) : road(timeS) + 0.02 * Math.sin(50 * timeS)) },
    },
  },
  {
    id: 'sensor-dropout',
    what: 'lambda blank three times',
    drive: {
      change: {
        lambda: (timeS) =>
          [3, 8, 13].some((from) => between(from, from + 0.4)(timeS)) ? Number.NaN : lambdaWith(() => 0)(timeS),
      },
    },
  },
  {
    id: 'sensor-dropout',
    what: 'manifold pressure at nought twice',
    drive: {
      change: {
        'manifold-pressure': (timeS) =>
          [2, 9].some((from) => between(from, from + 0.3)(timeS)) ? 0 : manifold(timeS) + 300 * Math.sin(41 * timeS),
      },
    },
  },
  {
    id: 'sensor-spikes',
    what: 'three lone road speeds',
    drive: { change: { 'vehicle-speed': lone(road, 9, 2, 7.5, 14) } },
  },
  {
    id: 'sensor-offset',
    what: 'manifold 5 kPa over the barometer with the engine standing',
    drive: {
      change: {
        'engine-speed': (timeS) => (timeS < 2 ? 0 : engineSpeed(timeS)),
        'manifold-pressure': (timeS) => (timeS < 2 ? 105e3 : manifold(timeS) + 5e3),
      },
    },
  },
  {
    id: 'sensor-offset',
    what: 'lambda 0.05 over its target in closed loop',
    drive: { change: { lambda: lambdaWith((timeS) => (inPull(timeS) ? 0.02 : 0.05)) } },
  },
  {
    id: 'misfire',
    what: 'counted',
    drive: { change: { 'misfire-count': (timeS) => (timeS < 8 ? 0 : Math.floor(10 * Math.min(3, timeS - 8))) } },
  },
  {
    id: 'misfire',
    what: 'engine speed shakes under load and lambda stands lean',
    drive: {
      change: {
        'engine-speed': (timeS) =>
          engineSpeed(timeS) + (between(7, 10)(timeS) ? 60 * Math.sin(57 * timeS) : ripple(4)(timeS)),
        lambda: lambdaWith((timeS) => (between(7, 10)(timeS) ? 0.15 : 0)),
      },
    },
  },
  {
    id: 'misfire',
    what: 'lambda jumps lean again and again',
    drive: {
      change: {
        lambda: lambdaWith((timeS) => (inPull(timeS) && timeS > 8 && Math.floor(timeS * 20) % 6 === 0 ? 0.2 : 0)),
      },
    },
  },
  {
    id: 'throttle-closing',
    what: 'shut to 60 % with the pedal full',
    drive: { change: { throttle: (timeS) => (between(8, 9)(timeS) ? 0.6 : inPull(timeS) ? 1 : 0.15) } },
  },
  {
    id: 'back-pressure-high',
    what: '2.2 times the boost',
    drive: { change: { 'exhaust-pressure': (timeS) => OUTSIDE_PA + 2.2 * Math.max(0, manifold(timeS) - OUTSIDE_PA) } },
  },
  {
    id: 'speed-scale-off',
    what: 'reads 6 % low',
    drive: { change: { 'vehicle-speed': (timeS) => 0.94 * road(timeS) } },
  },
  { id: 'clock-fault', what: 'one gap', drive: { clockFaults: [{ kind: 'gap', startS: 4, endS: 5, rows: 19 }] } },
  {
    id: 'slow-spool',
    what: 'boost creeps up over five seconds',
    drive: {
      change: {
        'exhaust-pressure': (timeS) => OUTSIDE_PA + 2e3 * Math.sin(31 * timeS),
        'manifold-pressure': through([0, 45e3], [5, 45e3], [5.2, 95e3], [10.6, 196e3], [11, 198e3], [11.2, 30e3]),
      },
    },
  },
  {
    id: 'compressor-choke',
    what: 'far more air than the map passes at that pressure ratio',
    drive: { change: { 'air-flow': (timeS) => 1.9 * meteredKgPerS(build)(timeS), 'engine-speed': engineSpeed } },
  },
];

const SILENT: readonly Case[] = [
  {
    id: 'lean-under-load',
    what: 'a lean dip shorter than the lag',
    drive: { change: { lambda: lambdaWith((timeS) => (between(8, 8.2)(timeS) ? 0.12 : 0)) } },
  },
  {
    id: 'lean-under-load',
    what: '0.03 lean, inside what a sensor is good for',
    drive: { change: { lambda: lambdaWith((timeS) => (inPull(timeS) ? 0.03 : 0)) } },
  },
  {
    id: 'lean-under-load',
    what: 'over-run, fuel cut',
    drive: { change: { lambda: lambdaWith((timeS) => (timeS > 11.2 ? 0.5 : 0)) } },
  },
  {
    id: 'rich-under-load',
    what: 'rich for half a second after pedal down',
    drive: { change: { lambda: lambdaWith((timeS) => (between(5.2, 5.7)(timeS) ? -0.15 : 0)) } },
  },
  {
    id: 'knock',
    what: 'one degree taken once',
    drive: { change: { 'knock-retard': (timeS) => (between(8, 8.3)(timeS) ? 1 : 0) } },
  },
  {
    id: 'knock',
    what: 'level that grows with engine speed',
    drive: { without: ['knock-retard'], change: { 'knock-level': (timeS) => engineSpeed(timeS) / 6000 } },
  },
  {
    id: 'boost-overshoot',
    what: '8 kPa for a moment',
    drive: { change: { 'manifold-pressure': boostWith(through([0, 0], [6.9, 0], [7.2, 8e3], [7.6, 0])) } },
  },
  {
    id: 'boost-overshoot',
    what: '14 kPa after a full-throttle shift',
    drive: {
      pulls: [
        [5, 8, 2],
        [8.4, 11, 3],
      ],
      change: {
        'manifold-pressure': boostWith(through([0, 0], [8.4, 0], [8.6, 14e3], [9, 0])),
        gear: (timeS) => (timeS < 8.2 ? 2 : 3),
      },
    },
  },
  {
    id: 'boost-creep',
    what: '12 kPa over with the duty still working',
    drive: { change: { 'manifold-pressure': boostWith(through([0, 0], [8.5, 0], [11, 12e3], [11.05, 0])) } },
  },
  {
    id: 'boost-taper',
    what: '6 kPa under',
    drive: { change: { 'manifold-pressure': boostWith(through([0, 0], [9, 0], [11, -6e3], [11.05, 0])) } },
  },
  {
    id: 'boost-taper',
    what: 'the throttle closed',
    drive: {
      change: {
        'manifold-pressure': boostWith(through([0, 0], [9, 0], [10, -30e3], [11, -30e3], [11.05, 0])),
        throttle: (timeS) => (timeS > 9 && inPull(timeS) ? 0.5 : inPull(timeS) ? 1 : 0.15),
      },
    },
  },
  {
    id: 'compressor-surge',
    what: 'one dip',
    drive: { change: { 'manifold-pressure': boostWith((timeS) => (between(8, 8.2)(timeS) ? -8e3 : 0)) } },
  },
  {
    id: 'compressor-surge',
    what: 'boost control hunting once a second',
    drive: {
      change: { 'manifold-pressure': boostWith((timeS) => (inPull(timeS) ? 4e3 * Math.sin(6.28 * timeS) : 0)) },
    },
  },
  {
    id: 'clutch-slip',
    what: 'tyre creep of 6 % seen from the undriven wheels',
    drive: {
      change: { 'engine-speed': (timeS) => engineSpeed(timeS) * runaway(0.06)(timeS), 'wheel-speed-undriven': road },
      without: ['vehicle-speed'],
    },
  },
  {
    id: 'wheel-spin',
    what: 'tyre creep of 8 %',
    drive: {
      change: {
        'engine-speed': (timeS) => engineSpeed(timeS) * runaway(0.08)(timeS),
        'vehicle-speed': (timeS) => road(timeS) * runaway(0.08)(timeS),
        'wheel-speed-undriven': road,
      },
    },
  },
  {
    id: 'rail-pressure-droop',
    what: 'a dip of a tenth of a second at pedal down',
    drive: {
      change: { 'fuel-pressure': (timeS) => manifold(timeS) - OUTSIDE_PA + (between(5.3, 5.4)(timeS) ? 250e3 : 300e3) },
    },
  },
  {
    id: 'rail-pressure-droop',
    what: 'a rail that is not referenced to the manifold, no build',
    drive: { build: null, change: { 'fuel-pressure': (timeS) => 300e3 + 500 * Math.sin(33 * timeS) } },
  },
  {
    id: 'throttle-closing',
    what: 'the throttle following the pedal late',
    drive: { change: { throttle: through([0, 0.15], [5, 0.15], [5.3, 1], [11, 1], [11.1, 0.1]) } },
  },
  {
    id: 'throttle-closing',
    what: 'an air flap that never reads full',
    drive: { change: { throttle: (timeS) => (timeS < 8 ? 0.89 : 0.84) } },
  },
  {
    id: 'sensor-stuck',
    what: 'whole-number road speed in a steady cruise',
    drive: { change: { 'vehicle-speed': { at: road, step: 1 / 3.6 } } },
  },
  {
    id: 'sensor-stuck',
    what: 'coolant that stands at 90 degrees',
    drive: { change: { 'coolant-temperature': () => 363.15 } },
  },
  { id: 'sensor-stuck', what: 'throttle at its stop through the pull', drive: {} },
  { id: 'sensor-spikes', what: 'one lone reading', drive: { change: { 'vehicle-speed': lone(road, 9, 7.5) } } },
  {
    id: 'sensor-spikes',
    what: 'a step that stays',
    drive: { change: { 'vehicle-speed': (timeS) => road(timeS) + (timeS > 8 ? 3 : 0) } },
  },
  {
    id: 'sensor-dropout',
    what: 'a slow channel on every fourth row',
    drive: { change: { 'coolant-temperature': { at: () => 363.15, rateHz: 5 } } },
  },
  {
    id: 'sensor-offset',
    what: 'a barometer 1 kPa off',
    drive: {
      change: {
        'engine-speed': (timeS) => (timeS < 2 ? 0 : engineSpeed(timeS)),
        'manifold-pressure': (timeS) => (timeS < 2 ? 101e3 : manifold(timeS)),
      },
    },
  },
  {
    id: 'sensor-offset',
    what: 'charge warm from a hot engine',
    drive: {
      change: {
        'engine-speed': (timeS) => (timeS < 2 ? 0 : engineSpeed(timeS)),
        'charge-temperature': () => 330,
        'manifold-pressure': (timeS) => (timeS < 2 ? OUTSIDE_PA : manifold(timeS)),
      },
    },
  },
  { id: 'pressure-sensor-ceiling', what: 'boost held to within its noise', drive: {} },
  {
    id: 'airflow-meter-ceiling',
    what: 'flow that stands because the engine takes no more',
    drive: {
      change: {
        'air-flow': (timeS) => (between(9, 9.4)(timeS) ? meteredKgPerS(build)(11) : meteredKgPerS(build)(timeS)),
      },
    },
  },
  {
    id: 'low-oil-pressure',
    what: 'relief valve: flat at high speed',
    drive: { change: { 'oil-pressure': (timeS) => Math.min(430e3, 130 * engineSpeed(timeS)) } },
  },
  {
    id: 'coolant-hot',
    what: '98 degrees after a hard pull',
    drive: { change: { 'coolant-temperature': () => 273.15 + 98 } },
  },
  {
    id: 'charging-low',
    what: 'just started',
    drive: {
      change: {
        'engine-speed': (timeS) => (timeS < 3 ? 0 : 1200),
        'battery-voltage': through([0, 12.5], [3, 9.5], [4, 12.8], [12, 13.8]),
      },
      pulls: [],
    },
  },
  {
    id: 'speed-scale-off',
    what: 'worn tyres, 2 %',
    drive: { change: { 'vehicle-speed': (timeS) => 1.02 * road(timeS) } },
  },
  {
    id: 'misfire',
    what: 'two counts on over-run',
    drive: { change: { 'misfire-count': (timeS) => (timeS < 13 ? 0 : 2) } },
  },
  {
    id: 'back-pressure-high',
    what: '1.6 times the boost',
    drive: { change: { 'exhaust-pressure': (timeS) => OUTSIDE_PA + 1.6 * Math.max(0, manifold(timeS) - OUTSIDE_PA) } },
  },
  {
    id: 'injector-near-static',
    what: 'a single reading of 95 %',
    drive: { change: { 'injector-duty': lone((timeS) => (inPull(timeS) ? 0.7 : 0.05), 0.25, 8) } },
  },
  {
    id: 'injection-flow-lost',
    what: 'line filling',
    drive: { change: { 'injection-flow': (timeS) => (between(6.8, 11.2)(timeS) ? 6e-6 : 0) } },
  },
  { id: 'hot-charge', what: 'a warm day and a healthy cooler', drive: {} },
  { id: 'slow-spool', what: 'boost up in under two seconds', drive: {} },
  {
    id: 'boost-leak',
    what: 'a meter that reads 3 % high',
    drive: { change: { 'air-flow': (timeS) => 1.03 * meteredKgPerS(build)(timeS) } },
  },
];

describe('every finding', () => {
  test('has a rule, once', () => {
    expect(RULES.map((rule) => rule.id).sort()).toEqual([...FINDING_IDS].sort());
  });

  test('is covered by a drive that shows it', () => {
    const covered = new Set(FIRES.map((one) => one.id));
    expect(FINDING_IDS.filter((id) => !covered.has(id))).toEqual([]);
  });

  test('stays away from a healthy drive, with and without the build', () => {
    expect(review().ids).toEqual([]);
    expect(review({ build: null }).ids).toEqual([]);
  });
});

describe('is found', () => {
  test.each(FIRES)('$id: $what', ({ id, drive }) => {
    const { findings } = review(drive);
    const one = findings.find((found) => found.id === id);
    expect(findings.map((found) => found.id)).toContain(id);
    expect(one?.says).toMatch(/\d/);
    expect(one?.next.length).toBeGreaterThan(20);
    expect(one?.couldAlsoBe.length).toBeGreaterThan(0);
    expect(one?.confidence).toBeGreaterThanOrEqual(0.55);
    expect(Object.values(one?.numbers ?? {}).every(Number.isFinite)).toBe(true);
    expect(one!.endS).toBeGreaterThanOrEqual(one!.startS);
  });
});

describe('stays silent', () => {
  test.each(SILENT)('$id: $what', ({ id, drive }) => {
    expect(
      review(drive)
        .findings.filter((found) => found.severity !== 'note')
        .map((found) => found.id),
    ).not.toContain(id);
  });
});

describe('what cannot be looked for', () => {
  test('is named with what it needs', () => {
    const { notChecked } = review({ without: ['oil-pressure', 'knock-retard', 'exhaust-pressure'] });
    const needs = new Map(notChecked.map((one) => [one.id, one.needs]));
    expect(needs.get('low-oil-pressure')).toEqual(['oil-pressure', 'engine-speed']);
    expect(needs.get('knock')).toEqual(['knock-retard', 'knock-count', 'knock-level']);
    expect(needs.get('back-pressure-high')).toContain('exhaust-pressure');
    expect(needs.has('lean-under-load')).toBe(false);
  });

  test('includes what needs the build when there is none', () => {
    const ids = review({ build: null }).notChecked.map((one) => one.id);
    expect(ids).toContain('boost-leak');
    expect(ids).toContain('compressor-choke');
    expect(ids).toContain('slow-spool');
  });

  test('an empty log gives no finding and no error', () => {
    const names = [
      'engine-speed',
      'vehicle-speed',
      'manifold-pressure',
      'lambda',
      'air-flow',
      'charge-temperature',
    ] as const;
    const gone = Object.fromEntries(names.map((name) => [name, () => Number.NaN]));
    expect(review({ change: gone, pulls: [] }).findings.filter((one) => one.severity !== 'note')).toEqual([]);
  });
});

test('the gravest comes first', () => {
  const { findings } = review({
    change: {
      lambda: lambdaWith((timeS) => (between(8, 9)(timeS) ? 0.1 : 0)),
      'coolant-temperature': through([0, 365], [16, 379]),
      'exhaust-pressure': (timeS) => OUTSIDE_PA + 2.2 * Math.max(0, manifold(timeS) - OUTSIDE_PA),
    },
  });
  const rank = { stop: 0, fix: 1, watch: 2, note: 3 };
  const ranks = findings.map((one) => rank[one.severity]);
  expect(ranks).toEqual([...ranks].sort((a, b) => a - b));
  expect(findings[0]?.id).toBe('lean-under-load');
  expect(findings[0]?.numbers.lambdaError).toBeCloseTo(0.1, 2);
  expect(ASKED_PA).toBeGreaterThan(OUTSIDE_PA);
});
