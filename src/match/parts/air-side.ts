/** Parts from filter to manifold. */
import { expectSolved, waterMethanolLatentHeatJPerKg } from '../../physics/index.ts';
import type { Part } from './part.ts';
import { afterShiftRpm, always, riseShare, share } from './part.ts';

/** Corrected flow may reach this share of the choke flow at its speed (house definition). */
const CHOKE_LIMIT = 0.95;

export const AIR_SIDE: readonly Part[] = [
  {
    part: 'compressor surge',
    limit: 'flow left of the surge line',
    unit: 'kg/s',
    dependsOnBoost: true,
    counts: true,
    endsPowerFromRpm: afterShiftRpm,
    applies: always,
    load: (point) => ({
      demand: point.compressorSurgeShare * point.compressorCorrectedFlowKgPerS,
      rating: point.compressorCorrectedFlowKgPerS,
      utilisation: point.compressorSurgeShare,
    }),
    lift: [
      'Lower the boost target at the engine speeds where it is near, so that less is pushed at little flow',
      'Fit a compressor with a smaller inducer or a ported shroud, whose surge line lies further left',
    ],
  },
  {
    part: 'compressor choke',
    limit: 'flow near choke',
    unit: 'kg/s',
    dependsOnBoost: true,
    counts: true,
    applies: always,
    load: (point) =>
      share(
        point.compressorCorrectedFlowKgPerS,
        (CHOKE_LIMIT * point.compressorCorrectedFlowKgPerS) / Math.max(1e-6, point.compressorChokeShare),
      ),
    lift: [
      'Lower the boost target near the rev limit, so that the compressor is not pushed past its flow',
      'Lower the loss of filter and inlet pipe, so that the same air is less corrected flow',
      'Fit a compressor with a larger inducer, which passes more air before it chokes',
    ],
  },
  {
    part: 'shaft speed',
    limit: 'wheel tip speed',
    unit: 'rpm',
    dependsOnBoost: true,
    counts: true,
    applies: always,
    load: (point, car) => share(point.shaftSpeedRpm, car.turbocharger.shaftSpeedLimitRpm),
    lift: [
      'Lower inlet and cooler losses, so that less pressure ratio is asked for the same boost',
      'Fit a larger compressor wheel, which gives the pressure ratio at fewer revolutions',
    ],
  },
  {
    part: 'compressor outlet temperature',
    limit: 'heat that wheel, hoses and cooler carry',
    unit: 'K',
    dependsOnBoost: true,
    counts: 'when typed',
    ratingPath: 'turbocharger.compressorOutletTemperatureLimit',
    applies: always,
    load: (point, car, conditions) =>
      riseShare(
        point.compressorOutletTemperatureK,
        car.turbocharger.compressorOutletTemperatureLimitK,
        conditions.ambientTemperatureK,
      ),
    lift: [
      'Duct cold outside air to the filter, so that compression starts cooler',
      'Fit a compressor that is nearer its best efficiency at this flow and pressure ratio',
    ],
  },
  {
    part: 'charge temperature',
    limit: 'charge too hot for more boost',
    unit: 'K',
    dependsOnBoost: true,
    counts: 'when typed',
    ratingPath: 'chargeCooler.chargeTemperatureLimit',
    applies: always,
    load: (point, car, conditions) =>
      riseShare(point.chargeTemperatureK, car.chargeCooler.chargeTemperatureLimitK, conditions.ambientTemperatureK),
    lift: [
      'Seal and duct the charge cooler, so that more outside air goes through the core',
      'Fit a larger charge cooler, which brings the charge nearer to outside air',
      'Add water-methanol injection, which cools by evaporation (keep to the safety notes for methanol)',
    ],
  },
  {
    part: 'water-methanol flow',
    limit: 'flow that holds the charge temperature',
    unit: 'kg/s',
    dependsOnBoost: true,
    counts: false,
    applies: (car) => car.facts.hasInjection,
    load: (point, car) => {
      // Taken off the charge by what evaporates now; what would have to evaporate to stay at the limit.
      const share = Math.max(
        0.02,
        point.injectionFlowKgPerS > 0 ? point.injectionEvaporatedShare : car.injection.evaporatedShare,
      );
      const latent = expectSolved(waterMethanolLatentHeatJPerKg(car.injection.methanolMassFraction));
      const perKelvin = (point.airFlowKgPerS * 1006) / (latent * share);
      const overK = point.chargeTemperatureK - car.chargeCooler.chargeTemperatureLimitK;
      const needed = Math.max(0, point.injectionFlowKgPerS + overK * perKelvin);
      const utilisation = point.injectionFlowKgPerS > 0 ? needed / point.injectionFlowKgPerS : overK > 0 ? 10 : 0;
      return { demand: needed, rating: point.injectionFlowKgPerS, utilisation: Math.min(10, utilisation) };
    },
    lift: [
      'Lower the boost at which injection begins, so that it runs where the charge is hot',
      'Fit a larger nozzle and check the pump against it',
    ],
  },
];
