/**
 * What stands in for a number that nobody has typed: an estimate by engine class, wide, and marked as such.
 *
 * Sources: proportions of common turbocharged petrol road cars, common practice, no source, unless a line says otherwise.
 * Wheel and turbine sizes follow similarity: flow with diameter squared, inertia with diameter to the fifth power.
 */

import { parseTyreSize, toSi } from '../physics/index.ts';
import type { Build } from './build-schema.ts';
import { type Estimate, estimate, type Known } from './estimate.ts';
import { turbineAreaFromSheet } from './turbine-area.ts';

/** Choke flow [kg/s] that a compressor of this size passes: from the map where one is given, else by wheel area. */
const compressorChokeFlowKgPerS = (known: Known, build: Build): number => {
  // Without a compressor its place is taken by a flow of the same use: 1.4 times what the engine breathes at its rev limit.
  if (build.engine.aspiration === 'natural')
    return (1.4 * 1.1 * known('engine', 'displacement') * known('engine', 'revLimit')) / 120;
  const map = build.turbocharger.compressorMap;
  if (map) {
    const flow = Math.max(...map.lines.map((line) => line.chokeFlow ?? Math.max(...line.points.map(([own]) => own))));
    return toSi(flow, map.flowUnit);
  }
  return 176 * known('turbocharger', 'compressorInducer') ** 2;
};

/** Nominal (unloaded) radius [m]. Asked only where no rolling radius was typed, and then the checked sheet has a size. */
const nominalTyreRadiusM = (size: string | undefined): number => {
  const tyre = parseTyreSize(size ?? '');
  if (!tyre.ok) throw new Error(tyre.reason.says);
  return tyre.value.diameterM / 2;
};

const petrolLike = (build: Build) => build.fuel.kind === 'petrol';

/** In this order: later lines may use earlier ones. */
export const ESTIMATES: readonly Estimate[] = [
  // Square engine: bore = stroke (trade habit), both from displacement; where one is typed the other is what is left.
  estimate(
    'engine',
    'bore',
    (k, b) => ((4 * k('engine', 'displacement')) / (Math.PI * b.engine.cylinders)) ** (1 / 3),
    { relative: 0.05 },
    'square engine',
    (k, b, typed) =>
      typed('engine.stroke')
        ? {
            valueSi: Math.sqrt(
              (4 * k('engine', 'displacement')) / (Math.PI * b.engine.cylinders * k('engine', 'stroke')),
            ),
            relative: 0.002,
            source: 'estimate',
            why: 'from displacement and stroke',
          }
        : null,
  ),
  estimate(
    'engine',
    'stroke',
    (k, b) => (4 * k('engine', 'displacement')) / (Math.PI * b.engine.cylinders * k('engine', 'bore') ** 2),
    // Twice the bore's: the two are bound by the displacement.
    { relative: 0.1 },
    'from displacement and bore',
    (k, b, typed) =>
      typed('engine.bore')
        ? {
            valueSi: (4 * k('engine', 'displacement')) / (Math.PI * b.engine.cylinders * k('engine', 'bore') ** 2),
            relative: 0.004,
            source: 'estimate',
            why: 'from displacement and bore',
          }
        : null,
  ),
  estimate('engine', 'idleSpeed', () => 850, { relative: 0.08 }, 'usual warm idle'),
  estimate('engine', 'shiftSpeed', (k) => 0.94 * k('engine', 'revLimit'), { relative: 0.03 }, 'a little below the cut'),
  // Ideal-cycle efficiency times usual losses: Heywood (1988) sect. 5.5 and 15.3 (from memory).
  estimate('engine', 'indicatedEfficiency', () => 0.4, { relative: 0.035 }, 'usual for spark ignition'),
  // Shape after Barnes-Moss as in Heywood (1988) eq. 13.6 (from memory), less the pumping that the match computes itself.
  estimate('engine', 'frictionPressure', () => 48e3, { relative: 0.15 }, 'usual rubbing friction'),
  estimate('engine', 'frictionPerSpeed', () => 8.7e3, { relative: 0.2 }, 'usual rubbing friction'),
  estimate('engine', 'frictionPerSpeedSquared', () => 1.47e3, { relative: 0.2 }, 'usual rubbing friction'),
  estimate('engine', 'inertia', (k) => 0.04 + 60 * k('engine', 'displacement'), { relative: 0.2 }, 'by displacement'),
  estimate(
    'engine',
    'peakCylinderPressureLimit',
    (_k, b) => (b.fuel.kind === 'diesel' ? 180e5 : 110e5),
    { relative: 0.15 },
    'usual for cast pistons',
  ),
  estimate('engine', 'pistonSpeedLimit', () => 21, { relative: 0.08 }, 'usual for road-car rods and pistons'),
  estimate('engine', 'coolantTemperatureLimit', () => 273.15 + 108, { sdSi: 3 }, 'usual with a pressurised system'),
  estimate(
    'turbocharger',
    'compressorExducer',
    (k, b) => Math.sqrt(compressorChokeFlowKgPerS(k, b) / 97),
    { relative: 0.06 },
    'from the flow of the map',
  ),
  estimate(
    'turbocharger',
    'compressorInducer',
    (k) => k('turbocharger', 'compressorExducer') * Math.sqrt(0.55),
    { relative: 0.05 },
    'trim 55',
  ),
  estimate('turbocharger', 'compressorTipSpeedLimit', () => 520, { relative: 0.04 }, 'usual for cast aluminium wheels'),
  estimate(
    'turbocharger',
    'shaftSpeedLimit',
    (k) => (60 * k('turbocharger', 'compressorTipSpeedLimit')) / (Math.PI * k('turbocharger', 'compressorExducer')),
    { relative: 0.05 },
    'from tip speed',
  ),
  estimate(
    'turbocharger',
    'compressorOutletTemperatureLimit',
    () => 273.15 + 190,
    { sdSi: 10 },
    'usual for cast aluminium, hoses and plastic end tanks',
  ),
  estimate(
    'turbocharger',
    'shaftInertia',
    (k) => 50 * k('turbocharger', 'compressorExducer') ** 5,
    { relative: 0.2 },
    'similarity: diameter to the fifth',
  ),
  estimate(
    'turbocharger',
    'turbineWheel',
    (k) => 0.88 * k('turbocharger', 'compressorExducer'),
    { relative: 0.05 },
    'usual pairing of wheels',
  ),
  estimate(
    'turbocharger',
    'turbineAreaOverRadius',
    (k) => 0.32 * k('turbocharger', 'turbineWheel'),
    { relative: 0.15 },
    'usual housing',
  ),
  estimate(
    'turbocharger',
    'turbineEffectiveArea',
    (k, b) => 1.9e-3 * compressorChokeFlowKgPerS(k, b),
    { relative: 0.12 },
    'usual pairing with the compressor',
    turbineAreaFromSheet,
  ),
  estimate('turbocharger', 'turbineEfficiency', () => 0.71, { relative: 0.05 }, 'usual best efficiency'),
  estimate('turbocharger', 'mechanicalEfficiency', () => 0.95, { relative: 0.015 }, 'usual bearings'),
  estimate(
    'turbocharger',
    'wastegateArea',
    (k) => 0.74 * k('turbocharger', 'turbineEffectiveArea'),
    { relative: 0.15 },
    'usual internal wastegate',
  ),
  estimate('turbocharger', 'wastegateCrackPressure', () => 48e3, { relative: 0.15 }, 'usual actuator'),
  estimate('turbocharger', 'wastegateSpan', () => 45e3, { relative: 0.15 }, 'usual actuator'),
  estimate(
    'turbocharger',
    'turbineInletTemperatureLimit',
    () => 273.15 + 950,
    { sdSi: 20 },
    'usual for petrol turbines',
  ),
  estimate('turbocharger', 'backPressureRatioLimit', () => 2, { relative: 0.08 }, 'common practice'),
  estimate(
    'chargeCooler',
    'referenceFlow',
    (k, b) => 0.72 * compressorChokeFlowKgPerS(k, b),
    { relative: 0.01 },
    'a flow the build will see',
  ),
  estimate('chargeCooler', 'pressureDrop', () => 10e3, { relative: 0.25 }, 'usual cooler and pipes'),
  estimate(
    'chargeCooler',
    'coreHeatCapacity',
    (k) => 18.5e3 * k('chargeCooler', 'referenceFlow'),
    { relative: 0.25 },
    'usual aluminium core',
  ),
  estimate(
    'chargeCooler',
    'standingConductance',
    (k) => 800 * k('chargeCooler', 'referenceFlow'),
    { relative: 0.3 },
    'usual front mounting',
  ),
  estimate(
    'chargeCooler',
    'movingConductance',
    (k) => 4480 * k('chargeCooler', 'referenceFlow'),
    { relative: 0.3 },
    'usual front mounting',
  ),
  estimate(
    'chargeCooler',
    'chargeTemperatureLimit',
    (_k, b) => 273.15 + (petrolLike(b) ? 65 : 75),
    { sdSi: 5 },
    'common practice',
  ),
  estimate('intake', 'filterPressureDrop', () => 1.7e3, { relative: 0.3 }, 'clean filter'),
  estimate(
    'intake',
    'chargePipeDiameter',
    (k) => 0.055 * Math.sqrt(k('chargeCooler', 'referenceFlow') / 0.2),
    { relative: 0.08 },
    'usual gas speed',
  ),
  estimate(
    'intake',
    'chargeVolume',
    (k) => 38e-3 * k('chargeCooler', 'referenceFlow'),
    { relative: 0.25 },
    'usual pipes and cooler',
  ),
  estimate('intake', 'plenumVolume', (k) => 1.9 * k('engine', 'displacement'), { relative: 0.25 }, 'usual plenum'),
  estimate(
    'intake',
    'throttleDiameter',
    (k) => 0.041 * Math.sqrt(k('engine', 'displacement') / 1e-3),
    { relative: 0.08 },
    'by displacement',
  ),
  estimate(
    'intake',
    'bypassDiameter',
    (k) => 0.45 * k('intake', 'throttleDiameter'),
    { relative: 0.2 },
    'usual pairing with the throttle',
  ),
  estimate(
    'exhaust',
    'referenceFlow',
    (k) => 1.08 * k('chargeCooler', 'referenceFlow'),
    { relative: 0.01 },
    'a flow the build will see',
  ),
  estimate('exhaust', 'pressureDrop', () => 22e3, { relative: 0.25 }, 'usual road exhaust'),
  estimate(
    'exhaust',
    'manifoldVolume',
    (k) => 1.25 * k('engine', 'displacement'),
    { relative: 0.25 },
    'usual manifold',
  ),
  estimate('fuelSystem', 'injectorReferencePressure', () => 300e3, { relative: 0.002 }, 'usual rating pressure'),
  estimate(
    'fuelSystem',
    'railPressure',
    (k) => k('fuelSystem', 'injectorReferencePressure'),
    { relative: 0.02 },
    'as the injectors are rated',
  ),
  estimate('fuelSystem', 'injectorDeadTime', () => 0.88e-3, { relative: 0.12 }, 'usual high-impedance injector'),
  estimate('fuelSystem', 'injectorDeadTimePerVolt', () => 0.14e-3, { relative: 0.2 }, 'usual high-impedance injector'),
  estimate('fuelSystem', 'smallestPulse', () => 0.5e-3, { relative: 0.25 }, 'usual for port injection'),
  estimate('fuelSystem', 'injectorDutyLimit', () => 0.9, { relative: 0.01 }, 'common practice'),
  estimate('fuelSystem', 'pumpReferencePressure', () => 300e3, { relative: 0.002 }, 'usual rating pressure'),
  estimate('fuelSystem', 'pumpFallPerPressure', () => 0.25, { relative: 0.2 }, 'usual in-tank pump'),
  estimate('fuelSystem', 'pumpVoltageExponent', () => 1.5, { relative: 0.2 }, 'usual in-tank pump'),
  estimate(
    'sensors',
    'airflowMeterCeiling',
    (k, b) => 1.1 * compressorChokeFlowKgPerS(k, b),
    { relative: 0.2 },
    'unknown; taken above the compressor',
  ),
  estimate('sensors', 'manifoldPressureCeiling', () => 255e3, { relative: 0.03 }, 'usual sensor range'),
  estimate('sensors', 'gaugeCeiling', () => 200e3, { relative: 0.02 }, 'usual dash gauge'),
  estimate('sensors', 'widebandLowest', () => 0.65, { relative: 0.02 }, 'usual wideband range'),
  estimate(
    'driveline',
    'clutchTorqueCapacity',
    (k) => 210e3 * k('engine', 'displacement') * 1.05,
    { relative: 0.2 },
    'by displacement of a turbocharged car',
  ),
  estimate(
    'driveline',
    'gearboxTorqueRating',
    (k) => 230e3 * k('engine', 'displacement') * 1.05,
    { relative: 0.25 },
    'by displacement of a turbocharged car',
  ),
  estimate(
    'driveline',
    'efficiency',
    (_k, b) => ({ front: 0.94, rear: 0.93, all: 0.9 })[b.driveline.driven],
    { relative: 0.02 },
    'usual by layout',
  ),
  estimate(
    'driveline',
    'drivenInertia',
    (_k, b) => (b.driveline.driven === 'all' ? 4.7 : 2.4),
    { relative: 0.2 },
    'usual wheels',
  ),
  estimate('driveline', 'inputInertia', () => 0.007, { relative: 0.3 }, 'usual gearbox'),
  estimate(
    'driveline',
    'undrivenRotatingMass',
    (_k, b) => (b.driveline.driven === 'all' ? 0 : 20),
    { sdSi: 6 },
    'usual wheels',
  ),
  estimate('driveline', 'shiftTime', () => 0.45, { relative: 0.25 }, 'usual by hand'),
  // Rolling radius is about 0.97 of the nominal one under load (tyre standards give the rolling circumference; from memory).
  estimate(
    'tyres',
    'rollingRadius',
    (_k, b) => 0.97 * nominalTyreRadiusM(b.tyres.size),
    { relative: 0.012 },
    'from the tyre size',
  ),
  estimate('tyres', 'grip', () => 1.08, { relative: 0.1 }, 'usual road tyre on dry asphalt'),
  estimate('body', 'dragArea', () => 0.69, { relative: 0.1 }, 'usual closed road car'),
  estimate('body', 'rollingResistance', () => 0.0126, { relative: 0.12 }, 'usual road tyre'),
  estimate(
    'body',
    'drivenAxleLoad',
    (_k, b) => ({ front: 0.61, rear: 0.51, all: 0.58 })[b.driveline.driven],
    { relative: 0.05 },
    'usual by layout',
  ),
  estimate('body', 'centreOfGravityHeight', () => 0.2, { relative: 0.1 }, 'usual road car'),
  estimate('electrical', 'alternatorVoltage', () => 14.2, { relative: 0.01 }, 'usual charging voltage'),
  estimate('electrical', 'alternatorCurrent', () => 100, { relative: 0.2 }, 'usual alternator'),
  estimate('electrical', 'batteryVoltage', () => 12.6, { relative: 0.01 }, 'charged lead-acid'),
  estimate('electrical', 'batteryResistance', () => 0.008, { relative: 0.25 }, 'usual lead-acid'),
  estimate('electrical', 'coldCrankingCurrent', () => 600, { relative: 0.2 }, 'usual lead-acid'),
  estimate(
    'learned',
    'torque',
    () => 1,
    { sdSi: 0.015 },
    'wall heat and burning of the cycle, once the indicated efficiency is known',
  ),
  estimate('learned', 'sparkAdvance', () => 0, { sdSi: 1.4 }, 'not yet learned'),
  estimate('learned', 'exhaustHeat', () => 1, { sdSi: 0.025 }, 'not yet learned'),
  estimate('learned', 'residualEffect', () => 1, { sdSi: 0.2 }, 'not yet learned'),
  estimate('learned', 'knockLimit', () => 0, { sdSi: 3 }, 'engines of one kind differ by some degrees'),
];
