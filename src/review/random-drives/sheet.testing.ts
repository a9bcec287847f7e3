/** The build sheet that the owner of a random car types: rated values, off by what rated values are off by. */
import { BUILD_SCHEMA, type Build, parseBuild } from '../../car/index.ts';
import type { TrueCar } from './car.testing.ts';
import type { Chance } from './chance.testing.ts';
import { efficiencyAt, limitRpmOf, lineAt, ratioOnLine } from './plant.testing.ts';

const quantity = (value: number, unit: string, more: Record<string, unknown> = {}) => ({
  value: Number(value.toPrecision(4)),
  unit,
  source: 'data-sheet',
  ...more,
});
const curve = (rows: readonly (readonly [number, number])[], atUnit: string, unit: string) => ({
  at: { unit: atUnit, values: rows.map(([at]) => Number(at.toPrecision(4))) },
  values: { unit, values: rows.map(([, value]) => Number(value.toPrecision(4))) },
  source: 'data-sheet',
});

/** How little the owner knows: everything the data sheets have, or about the dozen numbers that a sheet cannot do without. */
export type Knows = 'data sheets' | 'a dozen numbers';

export const sheetOf = (car: TrueCar, chance: Chance, knows: Knows): Build => {
  const { engine, fuel, compressor, exhaust, cooler } = car;
  /** A rated value: the true one off by this share, as a standard deviation. */
  const rated = (value: number, sd: number): number => value * (1 + chance.bell(sd));
  const fillingError = chance.bell(0.02);
  const slope = chance.bell(0.012);
  const flowError = 1 + chance.bell(0.015);
  const efficiencyError = 1 + chance.bell(0.012);
  const limitRpm = limitRpmOf(compressor);
  const map = {
    referenceTemperatureK: 298,
    referencePressurePa: 100e3,
    flowUnit: 'kg/s',
    source: 'data-sheet',
    lines: [0.3, 0.45, 0.58, 0.7, 0.8, 0.9, 1].map((share) => {
      const line = lineAt(compressor, share);
      return {
        shaftSpeedRpm: Math.round(share * limitRpm),
        surgeFlow: line.surge * flowError,
        chokeFlow: line.choke * flowError,
        points: Array.from({ length: 9 }, (_, k) => {
          const flow = line.surge + (0.96 * (line.choke - line.surge) * k) / 8;
          return [
            Number((flow * flowError).toPrecision(5)),
            Number(ratioOnLine(compressor, line, flow).toPrecision(5)),
            Number((efficiencyAt(compressor, share, flow) * efficiencyError).toPrecision(4)),
          ];
        }),
      };
    }),
  };
  const full = knows === 'data sheets';
  const sheet = {
    schema: BUILD_SCHEMA,
    name: 'An invented car',
    engine: {
      cylinders: engine.cylinders,
      displacement: quantity(engine.displacementM3 * 1e3, 'L'),
      compressionRatio: quantity(engine.compressionRatio, '1'),
      revLimit: quantity(engine.revLimitRpm, 'rpm'),
      idleSpeed: quantity(engine.idleRpm, 'rpm'),
      shiftSpeed: quantity(engine.shiftRpm, 'rpm'),
      ...(full
        ? {
            indicatedEfficiency: quantity(rated(engine.indicatedEfficiency, 0.015), '1'),
            frictionPressure: quantity(rated(engine.frictionPa[0] / 1e3, 0.06), 'kPa'),
            frictionPerSpeed: quantity(rated(engine.frictionPa[1] / 1e3, 0.06), 'kPa'),
            frictionPerSpeedSquared: quantity(rated(engine.frictionPa[2] / 1e3, 0.06), 'kPa'),
            inertia: quantity(rated(engine.inertiaKgM2, 0.06), 'kg m2', { source: 'estimate', spread: '8 %' }),
            volumetricEfficiency: curve(
              engine.filling.map(([rpm, value]) => [rpm, value * (1 + fillingError + slope * (rpm / 4000 - 1))]),
              'rpm',
              '1',
            ),
          }
        : {}),
    },
    turbocharger: {
      compressorExducer: quantity(compressor.wheelM * 1e3, 'mm'),
      compressorTipSpeedLimit: quantity(compressor.limitTipMPerS, 'm/s'),
      ...(full
        ? {
            shaftSpeedLimit: quantity(Math.round(limitRpm), 'rpm', { spread: '2 %' }),
            shaftInertia: quantity(rated(car.shaftInertiaKgM2, 0.08), 'kg m2'),
            turbineWheel: quantity(exhaust.turbineWheelM * 1e3, 'mm'),
            turbineEffectiveArea: quantity(rated(exhaust.turbineAreaM2, 0.03), 'm2'),
            turbineEfficiency: quantity(rated(exhaust.turbineEfficiency, 0.025), '1'),
            mechanicalEfficiency: quantity(rated(exhaust.bearingEfficiency, 0.01), '1'),
            wastegateArea: quantity(rated(exhaust.wastegateAreaM2, 0.05), 'm2'),
            wastegateCrackPressure: quantity(car.crackPa / 1e3, 'kPa gauge'),
            wastegateSpan: quantity(car.spanPa / 1e3, 'kPa'),
            compressorMap: map,
          }
        : { compressorInducer: quantity(compressor.wheelM * 1e3 * 0.75, 'mm') }),
    },
    chargeCooler: full
      ? {
          effectiveness: curve(
            [
              [0, cooler.atRest],
              [cooler.referenceFlow, cooler.atRest - cooler.fall],
              [2 * cooler.referenceFlow, cooler.atRest - 2 * cooler.fall],
            ].map(([at, value]) => [at!, Math.min(0.97, rated(value!, 0.015))]),
            'kg/s',
            '1',
          ),
          pressureDrop: quantity(rated(cooler.dropPa / 1e3, 0.08), 'kPa'),
          referenceFlow: quantity(cooler.referenceFlow, 'kg/s'),
          coreHeatCapacity: quantity(rated(cooler.metalJPerK, 0.1), 'J/K'),
          standingConductance: quantity(rated(cooler.standingWPerK, 0.1), 'W/K'),
          movingConductance: quantity(rated(cooler.movingWPerK, 0.1) * (100 / 3.6) ** 0.55, 'W/K'),
        }
      : {},
    ...(full
      ? {
          intake: {
            filterPressureDrop: quantity((car.filterPaPerFlow2 * car.peakFlow ** 2) / 1e3, 'kPa'),
            chargeVolume: quantity(car.chargeM3 * 1e3 * 0.65, 'L'),
            plenumVolume: quantity(car.chargeM3 * 1e3 * 0.35, 'L'),
          },
          exhaust: {
            pressureDrop: quantity(rated((exhaust.systemPaPerFlow2 * car.peakFlow ** 2) / 1e3, 0.1), 'kPa'),
            referenceFlow: quantity(car.peakFlow, 'kg/s'),
          },
        }
      : {}),
    fuel: {
      kind: fuel.kind,
      ...(fuel.kind === 'ethanol blend' ? { ethanolContent: quantity(85, '%') } : {}),
      ...(fuel.kind === 'petrol' ? { researchOctane: quantity(fuel.octane, '1') } : {}),
    },
    fuelSystem: {
      injectorCount: engine.cylinders,
      regulatorReferenced: car.railFollows,
      injectorFlow: quantity(rated(car.injectorM3PerS * 6e7, 0.015), 'cm3/min'),
      injectorReferencePressure: quantity(car.railPa / 1e3, 'kPa'),
      railPressure: quantity(car.railPa / 1e3, 'kPa'),
      injectorDeadTime: quantity(rated(car.deadTimeS * 1e3, 0.05), 'ms'),
      pumpFlow: quantity(car.pumpLitresPerHour, 'L/h'),
      pumpReferencePressure: quantity(300, 'kPa'),
    },
    ...(car.injection
      ? {
          injection: {
            methanolMassFraction: quantity(0.5, '1'),
            nozzleFlow: quantity(rated(car.injection.flowM3PerS * 6e7, 0.04), 'cm3/min'),
            pumpPressure: quantity(car.injection.pumpPa / 1e3, 'kPa gauge'),
            startBoost: quantity(car.injection.startPa / 1e3, 'kPa gauge'),
          },
        }
      : {}),
    sensors: {
      airMetering: car.metered ? 'airflow meter' : 'speed-density',
      ...(car.metered ? { airflowMeterCeiling: quantity(car.meterCeiling * 1e3, 'g/s') } : {}),
      manifoldPressureCeiling: quantity(car.manifoldCeilingPa / 1e3, 'kPa abs'),
    },
    driveline: {
      driven: car.wheels,
      gearRatios: car.gears,
      finalDrive: quantity(car.final, '1'),
      ...(full
        ? {
            efficiency: quantity(rated(car.efficiency, 0.01), '1'),
            clutchTorqueCapacity: quantity(car.clutchNm, 'N m'),
            shiftTime: quantity(car.shiftS, 's'),
          }
        : {}),
    },
    tyres: { size: car.tyre, ...(full ? { rollingRadius: quantity(rated(car.tyreM, 0.004), 'm') } : {}) },
    body: {
      mass: quantity(rated(car.massKg, 0.012), 'kg'),
      ...(full
        ? {
            dragArea: quantity(rated(car.dragAreaM2, 0.03), 'm2'),
            rollingResistance: quantity(rated(car.rolling, 0.05), '1'),
            drivenAxleLoad: quantity(car.drivenShare, '1'),
          }
        : {}),
    },
    ...(full ? { electrical: { alternatorVoltage: quantity(car.alternatorV, 'V') } } : {}),
    targets: {
      boost: curve(
        car.boost.map(([rpm, pa]) => [rpm, pa / 1e3]),
        'rpm',
        'kPa gauge',
      ),
      lambda: curve(car.lambda, 'rpm', 'lambda'),
    },
  };
  const read = parseBuild(JSON.stringify(sheet));
  if (!read.ok) throw new Error(read.problems.map(({ path, says }) => `${path}: ${says}`).join('; '));
  return read.build;
};
