/**
 * The one table of everything on a build sheet that is a number: its place, its kind, its limits, what it means and how
 * well it is known by default. Schema, SI names, samples, forms and documentation all come from here.
 */
import type { Dimension, Unit } from '../physics/units.ts';
import type { Source } from './quantity.ts';

/** What SI numbers of a dimension are called: `injectorFlow` becomes `injectorFlowM3PerS`. */
const SI_SUFFIX = {
  ratio: '',
  lambda: '',
  'mass ratio': '',
  length: 'M',
  area: 'M2',
  volume: 'M3',
  mass: 'Kg',
  time: 'S',
  'absolute pressure': 'Pa',
  'gauge pressure': 'GaugePa',
  'pressure difference': 'Pa',
  temperature: 'K',
  'temperature difference': 'K',
  'mass flow': 'KgPerS',
  'volume flow': 'M3PerS',
  power: 'W',
  torque: 'Nm',
  force: 'N',
  'rotational speed': 'Rpm',
  speed: 'MPerS',
  acceleration: 'MPerS2',
  angle: 'Deg',
  frequency: 'Hz',
  voltage: 'V',
  current: 'A',
  charge: 'C',
  resistance: 'Ohm',
  'time per voltage': 'SPerV',
  'moment of inertia': 'KgM2',
  'heat capacity': 'JPerK',
  'thermal conductance': 'WPerK',
  density: 'KgPerM3',
  'specific energy': 'JPerKg',
  'specific fuel consumption': 'KgPerJ',
} as const satisfies Record<Dimension, string>;

export interface Field<D extends Dimension = Dimension, R extends boolean = boolean> {
  readonly dimension: D;
  /** Unit it is usually written in. */
  readonly unit: Unit;
  /** Limits in {@link Field.unit}: refuse nonsense, not unusual cars. */
  readonly range: readonly [number, number];
  /** Must be typed in; everything else starts as an estimate. */
  readonly required: R;
  /** What it is, for forms and documentation. */
  readonly about: string;
  /** Default relative spread where the general default of the source does not fit. */
  readonly relative?: Readonly<Partial<Record<Source, number>>>;
}

const must = <D extends Dimension>(
  dimension: D,
  unit: Unit,
  range: readonly [number, number],
  about: string,
  relative?: Field['relative'],
): Field<D, true> => ({ dimension, unit, range, required: true, about, ...(relative ? { relative } : {}) });

const may = <D extends Dimension>(
  dimension: D,
  unit: Unit,
  range: readonly [number, number],
  about: string,
  relative?: Field['relative'],
): Field<D, false> => ({ dimension, unit, range, required: false, about, ...(relative ? { relative } : {}) });

const exact = { measured: 0.001, logged: 0.002, 'data-sheet': 0.002, estimate: 0.02 } as const;
const close = { measured: 0.005, logged: 0.01, 'data-sheet': 0.02, estimate: 0.08 } as const;

/** Every number of the sheet by group: dimension, usual unit, limits in that unit, meaning, spread by source. */
export const FIELDS = {
  engine: {
    displacement: must('volume', 'cm3', [100, 12000], 'Swept volume of all cylinders', exact),
    compressionRatio: must('ratio', '1', [5, 18], 'Static compression ratio', { ...exact, 'data-sheet': 0.01 }),
    revLimit: must('rotational speed', 'rpm', [2000, 14000], 'Engine speed at which the engine is cut', exact),
    bore: may('length', 'mm', [30, 200], 'Cylinder bore', exact),
    stroke: may('length', 'mm', [30, 200], 'Crank stroke', exact),
    idleSpeed: may('rotational speed', 'rpm', [400, 2500], 'Warm idle speed', close),
    shiftSpeed: may('rotational speed', 'rpm', [1500, 14000], 'Engine speed at which the driver changes up', close),
    indicatedEfficiency: may(
      'ratio',
      '1',
      [0.2, 0.55],
      'Gross indicated work over the heat that the air could burn, at compression ratio 9, lambda 0.9 and best-torque timing',
      { measured: 0.01, logged: 0.01, 'data-sheet': 0.01, estimate: 0.035 },
    ),
    frictionPressure: may('pressure difference', 'kPa', [0, 300], 'Friction mean effective pressure at no speed', {
      'data-sheet': 0.1,
    }),
    frictionPerSpeed: may('pressure difference', 'kPa', [0, 100], 'Friction mean effective pressure per 1000 rpm', {
      'data-sheet': 0.1,
    }),
    frictionPerSpeedSquared: may(
      'pressure difference',
      'kPa',
      [0, 30],
      'Friction mean effective pressure per (1000 rpm) squared',
      { 'data-sheet': 0.15 },
    ),
    inertia: may('moment of inertia', 'kg m2', [0.01, 2], 'Crank, flywheel and clutch about the crank'),
    peakCylinderPressureLimit: may('pressure difference', 'bar', [40, 300], 'Peak cylinder pressure the parts carry'),
    pistonSpeedLimit: may('speed', 'm/s', [8, 40], 'Mean piston speed the parts carry'),
    coolantTemperatureLimit: may('temperature', 'degC', [80, 140], 'Coolant temperature not to be passed', exact),
  },
  turbocharger: {
    compressorInducer: may('length', 'mm', [20, 150], 'Compressor wheel, diameter where the air enters', exact),
    compressorExducer: may('length', 'mm', [25, 200], 'Compressor wheel, largest diameter', exact),
    compressorTipSpeedLimit: may('speed', 'm/s', [200, 700], 'Compressor wheel tip speed it carries'),
    shaftSpeedLimit: may('rotational speed', 'rpm', [20000, 350000], 'Shaft speed it carries'),
    compressorOutletTemperatureLimit: may(
      'temperature',
      'degC',
      [100, 300],
      'Compressor outlet temperature that wheel, hoses and cooler carry',
    ),
    shaftInertia: may('moment of inertia', 'kg m2', [1e-6, 1e-3], 'Both wheels and the shaft', { 'data-sheet': 0.03 }),
    turbineWheel: may('length', 'mm', [20, 150], 'Turbine wheel, largest diameter', exact),
    turbineAreaOverRadius: may('length', 'mm', [2, 60], 'Turbine housing area over radius'),
    turbineEffectiveArea: may('area', 'mm2', [50, 5000], 'Nozzle area that passes the same gas as the turbine', {
      'data-sheet': 0.02,
    }),
    // A figure good to 2 %, and 1.5 % for pulses and for how it falls off its best, which no sheet says.
    turbineEfficiency: may('ratio', '1', [0.3, 0.9], 'Turbine efficiency at its best, total to static', {
      'data-sheet': 0.025,
    }),
    // What is unsure is the loss, some 5 % of the turbine's power, to a fifth of itself.
    mechanicalEfficiency: may('ratio', '1', [0.7, 1], 'Bearings', {
      measured: 0.005,
      logged: 0.01,
      'data-sheet': 0.01,
      estimate: 0.015,
    }),
    wastegateArea: may('area', 'mm2', [20, 5000], 'Wastegate flow area wide open'),
    wastegateCrackPressure: may('gauge pressure', 'kPa gauge', [5, 400], 'Boost at which the wastegate begins to open'),
    wastegateSpan: may('pressure difference', 'kPa', [5, 400], 'Boost from begin of opening to wide open'),
    turbineInletTemperatureLimit: may(
      'temperature',
      'degC',
      [600, 1150],
      'Gas temperature before the turbine it carries',
    ),
    backPressureRatioLimit: may(
      'ratio',
      '1',
      [1, 4],
      'Exhaust over manifold pressure (both absolute) taken as too much',
    ),
  },
  chargeCooler: {
    pressureDrop: may(
      'pressure difference',
      'kPa',
      [0, 100],
      'Pressure lost in cooler and pipes at the reference air flow',
    ),
    referenceFlow: may('mass flow', 'kg/s', [0.01, 3], 'Air flow at which the pressure drop holds', exact),
    coreHeatCapacity: may('heat capacity', 'J/K', [200, 60000], 'Heat the core stores per kelvin'),
    standingConductance: may('thermal conductance', 'W/K', [0, 5000], 'Core to outside air, car standing'),
    movingConductance: may('thermal conductance', 'W/K', [0, 10000], 'Added core to outside air at 100 km/h'),
    chargeTemperatureLimit: may(
      'temperature',
      'degC',
      [25, 150],
      'Charge temperature at which the boost should go no further',
    ),
  },
  intake: {
    filterPressureDrop: may(
      'pressure difference',
      'kPa',
      [0, 50],
      'Filter and pipe before the compressor, at the cooler reference flow',
    ),
    chargePipeDiameter: may('length', 'mm', [20, 150], 'Charge pipe inner diameter', exact),
    chargeVolume: may('volume', 'L', [0.3, 60], 'Pipes and cooler from compressor to throttle'),
    plenumVolume: may('volume', 'L', [0.2, 40], 'Intake plenum after the throttle'),
    throttleDiameter: may('length', 'mm', [20, 150], 'Throttle bore', exact),
    bypassDiameter: may('length', 'mm', [5, 100], 'Bypass valve bore: lets boost go when the throttle shuts'),
  },
  exhaust: {
    pressureDrop: may(
      'pressure difference',
      'kPa',
      [0, 150],
      'Pressure before the exhaust pipe over outside, at the reference flow',
    ),
    referenceFlow: may('mass flow', 'kg/s', [0.01, 3], 'Exhaust flow at which the pressure drop holds', exact),
    manifoldVolume: may('volume', 'L', [0.2, 20], 'Exhaust manifold volume'),
  },
  fuel: {
    researchOctane: may('ratio', '1', [60, 130], 'Research octane number', exact),
    motorOctane: may('ratio', '1', [60, 120], 'Motor octane number', exact),
    ethanolContent: may('ratio', '%', [0, 100], 'Ethanol by volume in the fuel as it is in the tank', close),
    methanolContent: may('ratio', '%', [0, 100], 'Methanol by volume in the fuel as it is in the tank', close),
    tolueneContent: may('ratio', '%', [0, 100], 'Toluene by volume added to the fuel', close),
    lowerHeatingValue: may('specific energy', 'MJ/kg', [10, 55], 'Lower heating value, liquid fuel', {
      measured: 0.005,
      'data-sheet': 0.007,
      estimate: 0.015,
    }),
    stoichiometricAirFuelRatio: may('mass ratio', 'kg/kg', [2, 35], 'Air per fuel by mass at lambda 1', {
      measured: 0.005,
      'data-sheet': 0.005,
      estimate: 0.012,
    }),
    density: may('density', 'kg/m3', [500, 1100], 'Liquid density', {
      measured: 0.005,
      'data-sheet': 0.01,
      estimate: 0.015,
    }),
    latentHeat: may('specific energy', 'kJ/kg', [100, 2600], 'Latent heat of vaporisation'),
  },
  fuelSystem: {
    injectorFlow: must('volume flow', 'cm3/min', [20, 10000], 'One injector held open, at the reference pressure', {
      measured: 0.015,
      'data-sheet': 0.03,
    }),
    injectorReferencePressure: may(
      'pressure difference',
      'kPa',
      [50, 30000],
      'Rail over manifold pressure at which the injector flow holds',
      exact,
    ),
    injectorDeadTime: may('time', 'ms', [0, 5], 'Injector dead time at 14 V', { 'data-sheet': 0.08 }),
    injectorDeadTimePerVolt: may('time per voltage', 'ms/V', [0, 2], 'Dead time gained per volt below 14 V', {
      'data-sheet': 0.1,
    }),
    smallestPulse: may('time', 'ms', [0, 5], 'Shortest open time (after dead time) that still meters evenly'),
    injectorDutyLimit: may('ratio', '1', [0.5, 1], 'Duty taken as the static end', exact),
    railPressure: may(
      'pressure difference',
      'kPa',
      [50, 30000],
      'Rail over manifold pressure set by the regulator',
      close,
    ),
    pumpFlow: must('volume flow', 'L/h', [10, 3000], 'Pump flow at the pump reference pressure and 13.5 V', {
      'data-sheet': 0.05,
    }),
    pumpReferencePressure: may(
      'pressure difference',
      'kPa',
      [50, 30000],
      'Pressure over the tank at which the pump flow holds',
      exact,
    ),
    pumpFallPerPressure: may('ratio', '1', [0, 1], 'Part of the pump flow lost per 300 kPa more pressure', {
      'data-sheet': 0.2,
    }),
    pumpVoltageExponent: may('ratio', '1', [0, 4], 'Pump flow goes with voltage to this power', { 'data-sheet': 0.2 }),
  },
  injection: {
    methanolMassFraction: may('ratio', '1', [0, 1], 'Methanol in the injected mix, by mass', close),
    nozzleFlow: may('volume flow', 'cm3/min', [20, 3000], 'Injected flow at the pump pressure', { 'data-sheet': 0.06 }),
    pumpPressure: may('gauge pressure', 'kPa gauge', [100, 3000], 'Injection pump pressure', close),
    startBoost: may('gauge pressure', 'kPa gauge', [0, 300], 'Boost at which injection begins', close),
    nozzleDistance: may('length', 'mm', [0, 5000], 'Pipe from the nozzle to the plenum', { estimate: 0.2 }),
    dropletDiameter: may('length', 'um', [2, 500], 'Sauter mean diameter of the mist', {
      measured: 0.1,
      'data-sheet': 0.15,
      estimate: 0.3,
    }),
    evaporatedShare: may('ratio', '1', [0, 1], 'Share that evaporates before the intake valves', {
      'data-sheet': 0.2,
      estimate: 0.35,
    }),
    tankVolume: may('volume', 'L', [0.3, 60], 'Tank', exact),
  },
  sensors: {
    airflowMeterCeiling: may('mass flow', 'g/s', [20, 3000], 'Highest air flow the meter can report', exact),
    manifoldPressureCeiling: may(
      'absolute pressure',
      'kPa abs',
      [100, 700],
      'Highest manifold pressure the sensor can report',
      exact,
    ),
    gaugeCeiling: may('gauge pressure', 'kPa gauge', [50, 600], 'Highest boost on the dash gauge', exact),
    widebandLowest: may('lambda', 'lambda', [0.4, 1], 'Lowest lambda the wideband can report', exact),
  },
  driveline: {
    clutchTorqueCapacity: may('torque', 'N m', [50, 5000], 'Torque the clutch holds', {
      'data-sheet': 0.08,
      estimate: 0.2,
    }),
    gearboxTorqueRating: may('torque', 'N m', [50, 5000], 'Torque the gearbox is rated for', { estimate: 0.2 }),
    finalDrive: must('ratio', '1', [1, 15], 'Final drive ratio', exact),
    efficiency: may('ratio', '1', [0.6, 1], 'Crank to tyres, in gear', {
      measured: 0.01,
      'data-sheet': 0.015,
      estimate: 0.02,
    }),
    drivenInertia: may('moment of inertia', 'kg m2', [0.2, 40], 'Driven wheels, axle and shafts, about the wheel'),
    inputInertia: may('moment of inertia', 'kg m2', [0, 0.5], 'Gearbox input shaft about the crank'),
    undrivenRotatingMass: may('mass', 'kg', [0, 300], 'Undriven wheels as moving mass', { estimate: 0.4 }),
    shiftTime: may('time', 's', [0.02, 2], 'Full-throttle gear change', { estimate: 0.25 }),
  },
  tyres: {
    rollingRadius: may('length', 'mm', [150, 600], 'Rolling radius of the driven tyres', {
      measured: 0.005,
      'data-sheet': 0.01,
      estimate: 0.012,
    }),
    grip: may('ratio', '1', [0.2, 3], 'Greatest tyre force over load', { 'data-sheet': 0.05, estimate: 0.1 }),
  },
  body: {
    mass: must('mass', 'kg', [300, 6000], 'Car with driver and fuel as driven', {
      measured: 0.005,
      logged: 0.01,
      'data-sheet': 0.02,
      estimate: 0.03,
    }),
    dragArea: may('area', 'm2', [0.2, 4], 'Drag coefficient times frontal area', {
      'data-sheet': 0.04,
      estimate: 0.08,
    }),
    rollingResistance: may('ratio', '1', [0.004, 0.05], 'Rolling resistance coefficient', {
      'data-sheet': 0.08,
      estimate: 0.15,
    }),
    drivenAxleLoad: may(
      'ratio',
      '1',
      [0.2, 1],
      'Share of the weight on the (front, for all-wheel drive) driven axle, standing',
      close,
    ),
    centreOfGravityHeight: may('ratio', '1', [0.05, 0.6], 'Centre of gravity height over wheelbase', { estimate: 0.1 }),
  },
  electrical: {
    alternatorVoltage: may('voltage', 'V', [11, 16], 'Charging voltage, warm', exact),
    alternatorCurrent: may('current', 'A', [20, 400], 'Alternator rating'),
    batteryVoltage: may('voltage', 'V', [10, 14], 'Open-circuit battery voltage', exact),
    batteryResistance: may('resistance', 'mohm', [1, 60], 'Battery internal resistance'),
    coldCrankingCurrent: may('current', 'A', [50, 2000], 'Battery cold cranking rating'),
  },
  /** Factors on the textbook relations: 1 (or 0) until logs have taught better. */
  learned: {
    torque: may('ratio', '1', [0.5, 1.5], 'Indicated work over what the relations give', { logged: 0.01 }),
    sparkAdvance: may('angle', 'deg', [-20, 20], 'Timing over the estimated knock-limited timing'),
    knockLimit: may('angle', 'deg', [-20, 20], 'Borderline of knock over the estimated borderline'),
    exhaustHeat: may('ratio', '1', [0.5, 1.5], 'Share of fuel heat in the exhaust over what the relations give', {
      logged: 0.02,
    }),
    residualEffect: may('ratio', '1', [0, 3], 'Loss of filling by exhaust pressure over what the relation gives'),
  },
} as const satisfies Record<string, Record<string, Field>>;

export type FieldTable = typeof FIELDS;
export type GroupName = keyof FieldTable;

type SiName<K extends string, F> = F extends Field<infer D> ? `${K}${(typeof SI_SUFFIX)[D]}` : never;

/** The plain SI numbers of every field, by group: `car.fuelSystem.injectorFlowM3PerS`. */
export type CarNumbers = {
  -readonly [G in GroupName]: {
    -readonly [K in keyof FieldTable[G] & string as SiName<K, FieldTable[G][K]>]: number;
  };
};

/** `group.field` with its SI name. */
export interface FieldPlace {
  readonly group: GroupName;
  readonly name: string;
  readonly siName: string;
  readonly field: Field;
}

/** Every field in the order of the sheet. */
export const FIELD_PLACES: readonly FieldPlace[] = (
  Object.entries(FIELDS) as [GroupName, Record<string, Field>][]
).flatMap(([group, fields]) =>
  Object.entries(fields).map(([name, field]) => ({
    group,
    name,
    siName: `${name}${SI_SUFFIX[field.dimension]}`,
    field,
  })),
);
