/** Drives that show each finding. */
import { engineSpeed, inPull, manifold, meteredKgPerS, OUTSIDE_PA } from './base-drive.ts';
import { ripple, through } from './synthetic-log.ts';
import { between, boostWith, build, type Case, lambdaWith, lone, road, runaway } from './test-drives.ts';

export const FIRES: readonly Case[] = [
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
    id: 'compressor-choke',
    what: 'no build: efficiency by outlet temperature falls from 0.7 to 0.45',
    drive: {
      build: null,
      change: {
        'compressor-outlet-temperature': (timeS) =>
          293 *
            (1 +
              (Math.max(1, manifold(timeS) / OUTSIDE_PA) ** 0.2857 - 1) /
                through([0, 0.7], [8, 0.7], [10.5, 0.45])(timeS)) +
          1,
      },
    },
  },
  {
    id: 'coolant-hot',
    what: 'climbs to 103 °C, under any limit',
    drive: { change: { 'coolant-temperature': through([0, 363], [5, 365], [12, 376]) } },
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
    id: 'boost-taper',
    what: 'falls 20 kPa under behind a throttle that reads 86 % wide open',
    drive: {
      change: {
        'manifold-pressure': boostWith(through([0, 0], [8.5, 0], [10.8, -20e3], [11, -20e3], [11.05, 0])),
        throttle: (timeS) => (inPull(timeS) ? 0.86 : 0.15),
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
    id: 'throttle-closing',
    what: 'shut to 55 % of a throttle that reads 86 % wide open',
    drive: { change: { throttle: (timeS) => (between(8, 9)(timeS) ? 0.47 : inPull(timeS) ? 0.86 : 0.15) } },
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
