/** Parts from exhaust valve to tail pipe. */
import type { Part } from './part.ts';
import { always, riseShare, share } from './part.ts';

export const EXHAUST_SIDE: readonly Part[] = [
  {
    part: 'back-pressure',
    limit: 'exhaust pressure over manifold pressure',
    unit: '1',
    dependsOnBoost: true,
    counts: 'when typed',
    ratingPath: 'turbocharger.backPressureRatioLimit',
    applies: always,
    load: (point, car) =>
      share(point.exhaustPressurePa / point.manifoldPressurePa, car.turbocharger.backPressureRatioLimit),
    lift: [
      'Fit a freer exhaust pipe and silencer, so that the turbine needs less pressure before it',
      'Fit a turbine housing with a larger area over radius, at the price of later boost',
    ],
  },
  {
    part: 'turbine temperature',
    limit: 'gas temperature before the turbine',
    unit: 'K',
    dependsOnBoost: true,
    counts: 'when typed',
    ratingPath: 'turbocharger.turbineInletTemperatureLimit',
    applies: always,
    load: (point, car, conditions) =>
      riseShare(
        point.exhaustTemperatureK,
        car.turbocharger.turbineInletTemperatureLimitK,
        conditions.ambientTemperatureK,
      ),
    lift: [
      'Cool the charge, so that timing can come nearer to best and less heat is left in the exhaust',
      'Ask for a richer mixture near the rev limit, within what the fuel system and the law of the land allow',
      'Fit a turbine wheel and housing of a hotter grade',
    ],
  },
  {
    part: 'wastegate authority',
    limit: 'flow past the turbine needed to hold the target',
    unit: '1',
    // More boost needs less past the turbine: this one gives out when boost is lowered.
    dependsOnBoost: false,
    counts: false,
    applies: always,
    load: (point, car) => {
      const { wastegateCrackPressureGaugePa, wastegateSpanPa } = car.turbocharger;
      const sprung = (point.boostPa - wastegateCrackPressureGaugePa) / Math.max(1, wastegateSpanPa);
      const open = Math.min(1, Math.max(0.02, sprung));
      if (point.case === 'wastegate open') {
        const asked = Math.max(1e3, point.boostTargetPa);
        return share(Math.max(1, point.boostPa / asked), 1);
      }
      return share(Math.min(10, point.wastegateOpening), open);
    },
    lift: [
      'Fit a softer wastegate spring, so that it is open far enough at the target',
      'Port the wastegate or fit an external one, so that more gas goes past the turbine',
    ],
  },
];
