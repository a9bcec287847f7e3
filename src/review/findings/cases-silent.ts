/** Near misses: drives that look a little like a finding and must stay silent. */
import { engineSpeed, inPull, manifold, meteredKgPerS, OUTSIDE_PA } from './base-drive.ts';
import { through } from './synthetic-log.ts';
import { between, boostWith, build, type Case, lambdaWith, lone, road, runaway } from './test-drives.ts';

export const SILENT: readonly Case[] = [
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
    id: 'coolant-hot',
    what: 'a control that holds 104 °C at part load on purpose',
    drive: { lengthS: 60, change: { 'coolant-temperature': () => 273.15 + 104 } },
  },
  {
    id: 'low-oil-pressure',
    what: 'cold thick oil before, hot oil on the relief valve in the pull',
    drive: {
      lengthS: 60,
      change: {
        'engine-speed': (timeS) => (timeS > 30 ? 3000 : engineSpeed(timeS)),
        'oil-pressure': (timeS) => (timeS > 30 ? 560e3 : 430e3),
        'oil-temperature': (timeS) => 273.15 + (timeS > 30 ? 50 : 95),
      },
    },
  },
  {
    id: 'back-pressure-high',
    what: 'boost that falls away under a steady exhaust pressure',
    drive: {
      change: {
        'manifold-pressure': boostWith(through([8, 0], [11, -40e3])),
        'exhaust-pressure': (timeS) => OUTSIDE_PA + 1.4 * Math.max(0, manifold(timeS) - OUTSIDE_PA),
      },
    },
  },
  {
    id: 'clutch-slip',
    what: 'a road speed that froze for two seconds of the pull',
    drive: { change: { 'vehicle-speed': (timeS) => road(between(8.5, 10.5)(timeS) ? 8.5 : timeS) } },
  },
  {
    id: 'misfire',
    what: 'engine speed held between slow messages',
    drive: { change: { 'engine-speed': (timeS) => engineSpeed(Math.floor(timeS * 7 + 1e-9) / 7) } },
  },
  {
    id: 'misfire',
    what: 'engine speed told in steps of 25 rpm',
    drive: { change: { 'engine-speed': { at: engineSpeed, step: 25 } } },
  },
  {
    id: 'sensor-stuck',
    what: 'a throttle held still by a still foot while the engine gains',
    drive: { change: { throttle: (timeS) => (timeS < 5 ? 0.15 + 0.02 * Math.sin(9 * timeS) : timeS < 11 ? 1 : 0.2) } },
  },
  {
    id: 'sensor-stuck',
    what: 'air flow that stands still with the throttle shut',
    drive: { change: { 'air-flow': (timeS) => (timeS > 11.4 ? 0.004 : meteredKgPerS(build)(timeS)) } },
  },
  {
    id: 'compressor-surge',
    what: 'slow hunting of the boost control at 2 Hz',
    drive: {
      change: { 'manifold-pressure': boostWith((timeS) => (between(7, 11)(timeS) ? 6e3 * Math.sin(12.6 * timeS) : 0)) },
    },
  },
  {
    id: 'compressor-choke',
    what: 'no map: efficiency by outlet temperature that stays at 0.7',
    drive: {
      build: null,
      change: {
        'compressor-outlet-temperature': (timeS) =>
          293 * (1 + (Math.max(1, manifold(timeS) / OUTSIDE_PA) ** 0.2857 - 1) / 0.7) + 2,
      },
    },
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
    what: 'boost control that swings five times at 3 Hz as boost arrives, logged 20 times a second',
    drive: {
      change: {
        'manifold-pressure': {
          at: boostWith((timeS) => (between(6.5, 7.4)(timeS) ? 6e3 * Math.sin(18.8 * timeS) : 0)),
          rateHz: 20,
        },
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
    what: 'a signal that is lost: with so little pressure no engine pulls',
    drive: {
      change: { 'fuel-pressure': (timeS) => (between(8, 10)(timeS) ? 0 : manifold(timeS) - OUTSIDE_PA + 300e3) },
    },
  },
  {
    id: 'rail-pressure-droop',
    what: 'a rail of 60 kPa: the wrong unit',
    drive: { change: { 'fuel-pressure': (timeS) => 60e3 + 0.2 * (manifold(timeS) - OUTSIDE_PA) } },
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
    what: 'one reading taken as the foot comes off, twice a second',
    drive: {
      change: {
        throttle: { at: through([0, 0.15], [5, 0.15], [5.3, 1], [10.45, 1], [10.5, 0.5], [10.6, 0.1]), rateHz: 2 },
        pedal: { at: through([0, 0.18], [5, 0.18], [5.1, 1], [10.99, 1], [11, 0]), rateHz: 2 },
      },
    },
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
    id: 'heat-soak',
    what: 'a pull twice as long as the first one ends hotter',
    drive: {
      lengthS: 36,
      pulls: [
        [6, 9.5, 3],
        [20, 28, 3],
      ],
      change: {
        'engine-speed': through([0, 2200], [6, 2600], [9.5, 6000], [10.5, 2600], [20, 2600], [28, 6000], [29, 2600]),
        'manifold-pressure': through(
          [6, 40e3],
          [6.8, 180e3],
          [9.5, 180e3],
          [9.6, 40e3],
          [20, 40e3],
          [20.8, 180e3],
          [28, 180e3],
          [28.1, 40e3],
        ),
        'charge-temperature': through([0, 300], [6, 300], [9.5, 318], [14, 302], [20, 302], [28, 331], [36, 305]),
      },
    },
  },
  {
    id: 'sensor-offset',
    what: 'no barometer, and 3 kPa between two sensors of boost',
    drive: {
      without: ['barometric-pressure'],
      change: {
        'engine-speed': (timeS) => (timeS < 2 ? 0 : engineSpeed(timeS)),
        'manifold-pressure': (timeS) => (timeS < 2 ? OUTSIDE_PA + 1.5e3 : manifold(timeS)),
        'compressor-outlet-pressure': (timeS) =>
          timeS < 2 ? OUTSIDE_PA - 1.5e3 : Math.max(OUTSIDE_PA, manifold(timeS)),
      },
    },
  },
  {
    id: 'sensor-offset',
    what: 'a manifold that reads nought beside a barometer of 98 kPa: gauge, not off',
    drive: {
      change: {
        'engine-speed': (timeS) => (timeS < 2 ? 0 : engineSpeed(timeS)),
        'manifold-pressure': (timeS) => (timeS < 2 ? 0 : manifold(timeS)),
      },
    },
  },
  {
    id: 'boost-leak',
    what: 'a meter that reads 3 % high',
    drive: { change: { 'air-flow': (timeS) => 1.03 * meteredKgPerS(build)(timeS) } },
  },
];
