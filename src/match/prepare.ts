/** A car made ready for many fast solutions: curves as functions, gas laws as short polynomials, the map fitted once. */
import { type Car, type Curve, fuelAtomsOf } from '../car/index.ts';
import {
  burnedGas,
  type CompressorSurface,
  estimatedCompressorSurface,
  estimatedMapScale,
  expectSolved,
  fittedCompressorMap,
  type Gas,
  type MapScale,
  moistAir,
  specificHeatJPerKgK,
  waterMethanolDensityKgPerM3,
  waterMethanolLatentHeatJPerKg,
} from '../physics/index.ts';
import { crankAngleCylinder } from './crank-angle-cylinder.ts';
import { type CylinderFacts, type CylinderModel, cylinderFactsOf } from './cylinder.ts';
import { coldConductanceWPerK } from './transient/core.ts';
import type { Conditions } from './types.ts';

/** Specific heat of dry air near a charge pipe's temperature and of water vapour [J/(kg K)]. Source: ASHRAE (2017) ch. 1 eq. 30. */
const AIR_SPECIFIC_HEAT = 1006;
const VAPOUR_SPECIFIC_HEAT = 1860;

/** Burned gas as cp = a + b T between 300 and 1500 K; enthalpy over 298.15 K follows. */
export interface GasLine {
  readonly a: number;
  readonly b: number;
  readonly gasConstantJPerKgK: number;
}

export interface Prepared {
  readonly car: Car;
  readonly conditions: Conditions;
  readonly surface: CompressorSurface;
  readonly scale: MapScale;
  readonly cylinder: CylinderFacts;
  readonly cylinderModel: CylinderModel;
  readonly displacementM3: number;
  readonly airGasConstant: number;
  readonly airSpecificHeat: number;
  readonly dryAirShare: number;
  readonly humidityRatio: number;
  readonly burned: GasLine;
  readonly filterLossPerFlow2: number;
  readonly coolerLossPerFlow2: number;
  readonly coolerReferenceDensity: number;
  readonly throttleLossPerFlow2: number;
  readonly exhaustLossPerFlow2: number;
  readonly exhaustReferenceDensity: number;
  readonly corePullGear: { readonly ratio: number; readonly coldConductanceAtRpm: (rpm: number) => number };
  readonly mixLatentJPerKg: number;
  readonly mixDensity: number;
  /** Stoichiometric air per injected liquid [kg/kg], from its methanol. */
  readonly mixAirFuelRatio: number;
}

/** Value of a curve by straight lines between its places, held at the ends. */
export const curveAt = (curve: Curve, at: number): number => {
  const { at: places, values } = curve;
  const last = places.length - 1;
  if (last < 0) return 0;
  if (at <= places[0]!) return values[0]!;
  if (at >= places[last]!) return values[last]!;
  let i = 1;
  while (places[i]! < at) i++;
  const part = (at - places[i - 1]!) / (places[i]! - places[i - 1]!);
  return values[i - 1]! + (values[i]! - values[i - 1]!) * part;
};

/** The fitted surface of a car's map, or the estimated family where it has none; fitted once per map. */
export const surfaceOf = (car: Car): { surface: CompressorSurface; scale: MapScale } => {
  const { compressorMap, compressorFlowScale, compressorEfficiencyScale, compressorSpeedScale, compressorSurgeScale } =
    car;
  if (!compressorMap) {
    const { compressorInducerM, compressorExducerM } = car.turbocharger;
    const scale = estimatedMapScale(Math.min(compressorInducerM, 0.95 * compressorExducerM), compressorExducerM);
    return {
      surface: estimatedCompressorSurface(),
      scale: {
        flow: scale.flow * compressorFlowScale,
        speed: scale.speed * compressorSpeedScale,
        efficiency: scale.efficiency * compressorEfficiencyScale,
        surge: compressorSurgeScale,
      },
    };
  }
  return {
    surface: fittedCompressorMap(compressorMap),
    scale: {
      flow: compressorFlowScale,
      speed: compressorSpeedScale,
      efficiency: compressorEfficiencyScale,
      surge: compressorSurgeScale,
    },
  };
};

const gases = new Map<string, GasLine>();

const gasLine = (gas: Gas): GasLine => {
  const low = specificHeatJPerKgK(gas, 500);
  const high = specificHeatJPerKgK(gas, 1200);
  const b = (high - low) / 700;
  return { a: low - 500 * b, b, gasConstantJPerKgK: gas.gasConstantJPerKgK };
};

/** Straight line through the specific heat of burned gas at 500 and 1200 K; within 1 % between 300 and 1500 K. */
const burnedLine = (car: Car): GasLine => {
  const atoms = fuelAtomsOf(car);
  const { values } = car.curves.lambdaTarget;
  const mean = values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);
  const lambda = Math.round(50 * Math.min(4, Math.max(0.6, mean))) / 50;
  const key = `${atoms.hydrogenToCarbon} ${atoms.oxygenToCarbon} ${lambda}`;
  let line = gases.get(key);
  if (!line) {
    const gas = burnedGas(atoms, lambda);
    line = gasLine(gas.ok ? gas.value : expectSolved(burnedGas(atoms, 1)));
    gases.set(key, line);
  }
  return line;
};

/** Enthalpy of burned gas over 298.15 K [J/kg]. */
export const burnedEnthalpy = (gas: GasLine, temperatureK: number): number =>
  gas.a * (temperatureK - 298.15) + 0.5 * gas.b * (temperatureK ** 2 - 298.15 ** 2);

/** Temperature of burned gas with an enthalpy over 298.15 K; the inverse of {@link burnedEnthalpy}. */
export const burnedTemperature = (gas: GasLine, enthalpy: number): number => {
  const c = enthalpy + gas.a * 298.15 + 0.5 * gas.b * 298.15 ** 2;
  return (2 * c) / (gas.a + Math.sqrt(Math.max(0, gas.a ** 2 + 2 * gas.b * c)));
};

/** Which gear a pull is looked at in: third of five or six, the middle otherwise. */
const pullGear = (ratios: readonly number[]): number => ratios[Math.min(2, Math.floor(ratios.length / 2))] ?? 1;

/** Road speed [m/s] at an engine speed in a gear, no slip. Source: kinematics. */
export const roadSpeedMPerS = (car: Car, engineSpeedRpm: number, gearRatio: number): number =>
  ((engineSpeedRpm / 60) * 2 * Math.PI * car.tyres.rollingRadiusM) / (gearRatio * car.driveline.finalDrive);

/** Highest boost that the curve asks for, absolute [Pa]. */
const highestTargetPa = (car: Car, ambientPressurePa: number): number =>
  Math.max(...car.curves.boostTarget.values) + (car.curves.boostIsGauge ? ambientPressurePa : 0);

/** Air within the law's reach: the moist-air law holds from -100 to 200 degC, so nothing on a road is refused. */
const airOf = (conditions: Conditions) =>
  expectSolved(
    moistAir(
      conditions.ambientPressurePa,
      conditions.ambientTemperatureK,
      Math.min(1, Math.max(0, conditions.relativeHumidity)),
    ),
  );

/** All that a match of this car in this air needs and that no engine speed changes. Pure: the same car, the same answer. */
export const prepare = (car: Car, conditions: Conditions): Prepared => {
  const air = airOf(conditions);
  const { surface, scale } = surfaceOf(car);
  const { chargeCooler, intake, exhaust, engine, injection } = car;
  const W = air.humidityRatio;
  const burned = burnedLine(car);
  const coolerReferenceDensity =
    Math.max(1.2 * conditions.ambientPressurePa, highestTargetPa(car, conditions.ambientPressurePa)) /
    (air.gasConstantJPerKgK * 325);
  const throttleArea = 0.25 * Math.PI * intake.throttleDiameterM ** 2;
  const gear = pullGear(car.facts.gearRatios);
  const methanol = Math.min(1, Math.max(0, injection.methanolMassFraction));
  let model: CylinderModel | null = null;
  return {
    car,
    conditions,
    surface,
    scale,
    cylinder: cylinderFactsOf(car),
    // Made when first asked for: part load brings a cylinder of its own.
    get cylinderModel() {
      model ??= crankAngleCylinder(car);
      return model;
    },
    displacementM3: engine.displacementM3,
    airGasConstant: air.gasConstantJPerKgK,
    airSpecificHeat: (AIR_SPECIFIC_HEAT + W * VAPOUR_SPECIFIC_HEAT) / (1 + W),
    dryAirShare: air.dryAirMassFraction,
    humidityRatio: W,
    burned,
    filterLossPerFlow2: intake.filterPressureDropPa / chargeCooler.referenceFlowKgPerS ** 2,
    coolerLossPerFlow2: chargeCooler.pressureDropPa / chargeCooler.referenceFlowKgPerS ** 2,
    // The loss is measured in the car, on boost: it holds at the density of the charge there.
    coolerReferenceDensity,
    // Wide-open throttle: what is left of the dynamic pressure, discharge coefficient 0.85 (Heywood (1988) sect. 7.6, from memory).
    throttleLossPerFlow2: 0.5 / (0.85 * throttleArea) ** 2,
    exhaustLossPerFlow2: exhaust.pressureDropPa / exhaust.referenceFlowKgPerS ** 2,
    // Likewise: hot gas near 1000 K at the pressure of the reading.
    exhaustReferenceDensity:
      (conditions.ambientPressurePa + exhaust.pressureDropPa) / (burned.gasConstantJPerKgK * 1000),
    corePullGear: {
      ratio: gear,
      coldConductanceAtRpm: (rpm) => coldConductanceWPerK(chargeCooler, roadSpeedMPerS(car, rpm, gear)),
    },
    mixLatentJPerKg: expectSolved(waterMethanolLatentHeatJPerKg(methanol)),
    mixDensity: expectSolved(waterMethanolDensityKgPerM3(methanol)),
    mixAirFuelRatio: methanol * 6.474,
  };
};
