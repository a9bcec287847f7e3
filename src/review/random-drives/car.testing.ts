/** Random invented cars: what each truly is. The owner's build sheet of it is made in sheet.testing.ts. */
import type { Chance } from './chance.testing.ts';
import {
  airFlowOf,
  along,
  burn,
  type Compressor,
  compressorPowerW,
  type Engine,
  type ExhaustSide,
  efficiencyAt,
  type Fuel,
  fillingOf,
  flowOnLine,
  GAS_CONSTANT,
  limitRpmOf,
  lineAt,
  orifice,
  outletK,
  REFERENCE_PA,
  turbinePowerW,
} from './plant.testing.ts';

export interface Cooler {
  /** Effectiveness against the core's metal at no flow, and its fall to the reference flow. */
  readonly atRest: number;
  readonly fall: number;
  readonly referenceFlow: number;
  readonly dropPa: number;
  readonly metalJPerK: number;
  readonly standingWPerK: number;
  /** Per (m/s)^0.55. */
  readonly movingWPerK: number;
}

export interface TrueCar {
  readonly engine: Engine;
  readonly fuel: Fuel;
  readonly compressor: Compressor;
  readonly exhaust: ExhaustSide;
  readonly shaftInertiaKgM2: number;
  readonly crackPa: number;
  readonly spanPa: number;
  readonly cooler: Cooler;
  readonly chargeM3: number;
  readonly filterPaPerFlow2: number;
  /** Asked boost over outside [Pa] and lambda by engine speed. */
  readonly boost: readonly (readonly [number, number])[];
  readonly lambda: readonly (readonly [number, number])[];
  readonly injectorM3PerS: number;
  readonly railPa: number;
  /** The regulator has a hose to the manifold. */
  readonly railFollows: boolean;
  readonly deadTimeS: number;
  readonly pumpLitresPerHour: number;
  readonly dutyLimit: number;
  readonly metered: boolean;
  readonly meterCeiling: number;
  readonly manifoldCeilingPa: number;
  readonly wheels: 'front' | 'rear' | 'all';
  readonly drivenShare: number;
  readonly centreHeight: number;
  readonly gears: readonly number[];
  readonly final: number;
  readonly tyreM: number;
  readonly tyre: string;
  readonly grip: number;
  readonly massKg: number;
  readonly dragAreaM2: number;
  readonly rolling: number;
  readonly efficiency: number;
  readonly wheelInertia: number;
  readonly clutchNm: number;
  readonly shiftS: number;
  readonly oilReliefPa: number;
  readonly alternatorV: number;
  readonly injection: { readonly flowM3PerS: number; readonly pumpPa: number; readonly startPa: number } | null;
  /** How it is driven off the wastegate: opening at the asked boost, by engine speed. */
  readonly openings: readonly (readonly [number, number])[];
  /** Engine speed from which the asked boost can be held [rpm]. */
  readonly thresholdRpm: number;
  readonly peakFlow: number;
}

interface Steady {
  readonly flow: number;
  readonly exhaustPa: number;
  readonly spareW: number;
}

const OUTSIDE_PA = 100e3;
const OUTSIDE_K = 293;

const bisect = (low: number, high: number, isLow: (x: number) => boolean): number => {
  let [a, b] = [low, high];
  for (let k = 0; k < 22; k++) {
    const middle = (a + b) / 2;
    if (isLow(middle)) a = middle;
    else b = middle;
  }
  return (a + b) / 2;
};

/** Shaft share of the limit at which the compressor gives a ratio at a flow. */
const shareFor = (one: Compressor, flow: number, ratio: number): number => {
  let low = 0.05;
  let high = 1.4;
  for (let k = 0; k < 24; k++) {
    const middle = (low + high) / 2;
    if (flowOnLine(one, lineAt(one, middle), ratio) < flow) low = middle;
    else high = middle;
  }
  return high;
};

type Parts = Pick<TrueCar, 'engine' | 'fuel' | 'compressor' | 'exhaust' | 'cooler' | 'lambda'>;

/** What is left of the turbine's power with asked boost and a wastegate opening at an engine speed. */
const steadyAt = (car: Parts, rpm: number, boostPa: number, opening: number): Steady => {
  const manifoldPa = OUTSIDE_PA + boostPa;
  const chargeK = OUTSIDE_K + 8 + boostPa / 8e3;
  const lambda = along(car.lambda, rpm);
  const area = car.exhaust.turbineAreaM2 + opening * car.exhaust.wastegateAreaM2;
  const at = (exhaustPa: number) => {
    const filling = fillingOf(car.engine, rpm, exhaustPa, manifoldPa);
    const flow = airFlowOf(car.engine, filling, rpm, manifoldPa, chargeK);
    const { exhaustK } = burn(car.engine, car.fuel, flow, lambda, rpm, chargeK, boostPa / 12e3);
    const gas = flow * (1 + 1 / (car.fuel.airPerFuel * lambda));
    const downPa = OUTSIDE_PA + car.exhaust.systemPaPerFlow2 * gas * gas;
    return { flow, exhaustK, gas, downPa, spare: orifice(area, exhaustPa, exhaustK, downPa) - gas };
  };
  const exhaustPa = bisect(OUTSIDE_PA, 9e5, (pa) => at(pa).spare < 0);
  const { flow, exhaustK, gas, downPa } = at(exhaustPa);
  const ratio = (manifoldPa + car.cooler.dropPa * (flow / car.cooler.referenceFlow) ** 2) / OUTSIDE_PA;
  const share = shareFor(car.compressor, flow, ratio);
  const outK = outletK(OUTSIDE_K, ratio, efficiencyAt(car.compressor, share, flow));
  const throughTurbine = (gas * car.exhaust.turbineAreaM2) / area;
  const shaftRpm = share * limitRpmOf(car.compressor);
  const spareW =
    turbinePowerW(car.exhaust, throughTurbine, exhaustPa, exhaustK, downPa, shaftRpm) -
    compressorPowerW(flow, OUTSIDE_K, outK);
  return { flow, exhaustPa, spareW };
};

const FUELS: Readonly<Record<Fuel['kind'], Omit<Fuel, 'octane'>>> = {
  // Usual values of pump fuels (Heywood (1988) app. D, table D.4, rounded; from memory).
  petrol: { kind: 'petrol', heatJPerKg: 42.8e6, airPerFuel: 14.6, densityKgPerM3: 745 },
  'ethanol blend': { kind: 'ethanol blend', heatJPerKg: 29.2e6, airPerFuel: 9.8, densityKgPerM3: 782 },
  diesel: { kind: 'diesel', heatJPerKg: 42.6e6, airPerFuel: 14.5, densityKgPerM3: 835 },
};

export const randomCar = (chance: Chance): TrueCar => {
  const { between, pick, is } = chance;
  const cylinders = pick([3, 4, 4, 4, 5, 6, 6, 8]);
  const displacementM3 = Math.min(5e-3, Math.max(0.9e-3, cylinders * between(0.29e-3, 0.64e-3)));
  const diesel = is(0.06);
  const kind = diesel ? 'diesel' : is(0.18) ? 'ethanol blend' : 'petrol';
  const fuel: Fuel = { ...FUELS[kind], octane: pick([95, 98, 98]) };
  const revLimitRpm =
    50 * Math.round((diesel ? between(4500, 5200) : cylinders > 5 ? between(5800, 7800) : between(6000, 8500)) / 50);
  const best = between(0.86, 1.02);
  const bestAt = between(0.5, 0.75) * revLimitRpm;
  const droop = between(0.45, 0.8);
  const engine: Engine = {
    cylinders,
    displacementM3,
    compressionRatio: diesel ? between(15, 17) : fuel.kind === 'petrol' ? between(8.2, 10.2) : between(9, 11.5),
    revLimitRpm,
    shiftRpm: 50 * Math.round((revLimitRpm - between(200, 600)) / 50),
    idleRpm: 10 * Math.round(between(70, 95)),
    inertiaKgM2: 0.05 + 0.055 * displacementM3 * 1e3 * between(0.8, 1.2),
    filling: Array.from({ length: 10 }, (_, k) => {
      const rpm = 1000 * k;
      return [rpm, Math.max(0.5, best * (1 - droop * ((rpm - bestAt) / revLimitRpm) ** 2))] as const;
    }),
    indicatedEfficiency: between(0.385, 0.42) * (diesel ? 1.02 : 1),
    frictionPa: [between(35e3, 55e3), between(7e3, 10e3), between(1.2e3, 1.8e3)],
  };
  const peakBoostPa = 1e3 * Math.round(is(0.7) ? between(45, 140) : between(40, 200));
  const rise = between(0.75, 1);
  const endShare = is(0.4) ? between(0.75, 0.95) : 1;
  const boost = [
    [1500, rise * peakBoostPa],
    [0.45 * revLimitRpm, peakBoostPa],
    [0.75 * revLimitRpm, peakBoostPa],
    [revLimitRpm, endShare * peakBoostPa],
  ] as const;
  const rich = fuel.kind === 'petrol' ? between(0.77, 0.88) : between(0.78, 0.88);
  const lambda = diesel
    ? ([
        [1000, 1.25],
        [revLimitRpm, between(1.26, 1.3)],
      ] as const)
    : ([
        [2000, rich + 0.04],
        [0.5 * revLimitRpm, rich + 0.02],
        [revLimitRpm, rich],
      ] as const);
  // The compressor is sized by the flow it must pass near the limit.
  const flowAt = (rpm: number) =>
    airFlowOf(
      engine,
      along(engine.filling, rpm),
      rpm,
      OUTSIDE_PA + along(boost, rpm),
      OUTSIDE_K + 10 + peakBoostPa / 8e3,
    );
  const peakFlow = Math.max(flowAt(0.85 * revLimitRpm), flowAt(engine.shiftRpm));
  const chokeKgPerS = peakFlow * between(1.25, 1.6);
  const compressor: Compressor = {
    wheelM: Math.sqrt(chokeKgPerS / between(85, 105)),
    chokeKgPerS,
    limitTipMPerS: peakBoostPa > 140e3 ? between(560, 600) : between(510, 570),
    headShare: between(0.46, 0.52),
    surgeShare: [between(0.16, 0.22), between(0.36, 0.46)],
    bestEfficiency: between(0.72, 0.79),
    shape: between(2.2, 3),
  };
  const cooler: Cooler = {
    atRest: between(0.76, 0.88),
    fall: between(0.1, 0.18),
    referenceFlow: peakFlow,
    dropPa: between(4e3, 12e3),
    metalJPerK: between(2500, 6000) * Math.min(2, peakFlow / 0.2 + 0.5),
    standingWPerK: between(100, 180),
    movingWPerK: between(90, 130) * Math.max(0.8, peakFlow / 0.2),
  };
  const side = {
    turbineEfficiency: between(0.66, 0.75),
    turbineWheelM: compressor.wheelM * between(0.85, 0.98),
    bearingEfficiency: between(0.93, 0.97),
    systemPaPerFlow2: between(12e3, 30e3) / peakFlow ** 2,
  };
  // A turbine so large that asked boost is just reached where a usual car has it.
  const thresholdRpm = Math.max(1600, (diesel ? between(0.35, 0.45) : between(0.32, 0.52)) * revLimitRpm);
  const parts = (turbineAreaM2: number, wastegateAreaM2: number): Parts => ({
    engine,
    fuel,
    compressor,
    cooler,
    lambda,
    exhaust: { ...side, turbineAreaM2, wastegateAreaM2 },
  });
  let turbineAreaM2 = 0.012 * peakFlow;
  while (
    turbineAreaM2 > 1e-4 &&
    steadyAt(parts(turbineAreaM2, 0), thresholdRpm, along(boost, thresholdRpm), 0).spareW < 0
  )
    turbineAreaM2 *= 0.96;
  const most = bisect(
    0,
    0.02 * peakFlow,
    (area) => steadyAt(parts(turbineAreaM2, area), engine.shiftRpm, along(boost, engine.shiftRpm), 1).spareW > 0,
  );
  const wastegateAreaM2 = Math.max(1e-4, most * between(1.5, 2.6));
  const sized = parts(turbineAreaM2, wastegateAreaM2);
  const openings = Array.from({ length: 8 }, (_, k) => {
    const rpm = thresholdRpm + ((engine.shiftRpm - thresholdRpm) * k) / 7;
    return [rpm, bisect(0, 1, (opening) => steadyAt(sized, rpm, along(boost, rpm), opening).spareW > 0)] as const;
  });
  const count = pick([5, 5, 6, 6, 7, 8]);
  const first = between(3.1, 4.4);
  const top = between(0.62, 0.85);
  // Steps get closer towards the top.
  const gaps = Array.from({ length: count - 1 }, (_, k) => 1 + between(0.5, 1) * (1 - k / (count - 1)));
  const whole = gaps.reduce((sum, gap) => sum + gap, 0);
  const gears = [first];
  for (const gap of gaps) gears.push(gears.at(-1)! * (top / first) ** (gap / whole));
  const width = pick([185, 195, 205, 215, 225, 235, 245, 255]);
  const profile = pick([35, 40, 45, 50, 55]);
  const rim = pick([15, 16, 17, 18, 19]);
  const tyreM = (0.967 * (rim * 0.0254 + (2 * width * profile) / 1e5)) / 2;
  const firstLimit = between(48, 68) / 3.6;
  const massKg = 10 * Math.round(Math.max(850, 700 + 260 * displacementM3 * 1e3 + between(-150, 450)) / 10);
  const torqueNm = (peakFlow * 1.05 * fuel.heatJPerKg * 0.34) / fuel.airPerFuel / (0.7 * revLimitRpm * (Math.PI / 30));
  const fuelM3PerS = peakFlow / fuel.airPerFuel / Math.min(1, rich) / fuel.densityKgPerM3;
  const fitsPa = [200e3, 250e3, 300e3, 400e3].find((ceiling) => ceiling > 1.12 * (OUTSIDE_PA + peakBoostPa))!;
  const wheels = pick(['front', 'front', 'rear', 'all'] as const);
  return {
    ...sized,
    shaftInertiaKgM2: 0.0000175 * (compressor.wheelM / 0.05) ** 5 * between(0.8, 1.3),
    crackPa: between(0.4, 0.55) * peakBoostPa * Math.min(rise, endShare),
    spanPa: between(0.35, 0.5) * peakBoostPa,
    chargeM3: between(3e-3, 5e-3) + 3e-3 * (displacementM3 / 2e-3),
    filterPaPerFlow2: between(1e3, 3e3) / peakFlow ** 2,
    boost,
    injectorM3PerS: fuelM3PerS / cylinders / between(0.55, 0.72),
    railPa: is(0.8) ? 300e3 : 400e3,
    railFollows: peakBoostPa > 120e3 || is(0.75),
    deadTimeS: between(0.6e-3, 1e-3),
    pumpLitresPerHour: 5 * Math.round((fuelM3PerS * 3.6e6 * between(1.3, 1.9)) / 5),
    dutyLimit: 0.9,
    metered: !diesel && is(0.55),
    meterCeiling: 0.01 * Math.round(100 * peakFlow * between(1.15, 1.5)),
    manifoldCeilingPa: fitsPa,
    wheels,
    drivenShare: wheels === 'front' ? between(0.58, 0.64) : wheels === 'rear' ? between(0.47, 0.53) : 1,
    centreHeight: between(0.18, 0.23),
    gears: gears.map((ratio) => Math.round(1000 * ratio) / 1000),
    final: Math.round((100 * revLimitRpm * Math.PI * tyreM) / 30 / first / firstLimit) / 100,
    tyreM,
    tyre: `${width}/${profile}R${rim}`,
    grip: between(1, 1.2),
    massKg,
    dragAreaM2: between(0.58, 0.85),
    rolling: between(0.0105, 0.014),
    efficiency: wheels === 'all' ? between(0.88, 0.92) : between(0.92, 0.955),
    wheelInertia: between(1.8, 3.2),
    clutchNm: 10 * Math.round((torqueNm * between(1.5, 2)) / 10),
    shiftS: between(0.2, 0.6),
    oilReliefPa: between(420e3, 600e3),
    alternatorV: between(13.9, 14.5),
    injection:
      kind === 'petrol' && peakBoostPa > 90e3 && is(0.25)
        ? { flowM3PerS: between(5e-6, 1.1e-5), pumpPa: between(700e3, 1100e3), startPa: between(50e3, 70e3) }
        : null,
    openings,
    thresholdRpm,
    peakFlow,
  };
};

/** Air's density at the reference of maps, for who wants flow corrected to them. */
export const correctedFlow = (flow: number, inletK: number, inletPa: number): number =>
  flow * Math.sqrt(inletK / 298) * (REFERENCE_PA / inletPa);
export const airDensity = (pressurePa: number, temperatureK: number): number =>
  pressurePa / (GAS_CONSTANT * temperatureK);
