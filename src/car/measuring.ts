/**
 * What somebody with a garage can measure of a car, in trade words, and how. Only what needs common tools, a bench
 * borrowed for an hour or a log; not what takes a test cell. Common practice throughout, no source.
 *
 * What is not listed (indicated efficiency, friction, map corrections) narrows by learning from logs.
 */
import type { Source } from './quantity.ts';

export interface Measuring {
  /** What it is called in the workshop. */
  readonly name: string;
  /** How to measure it, verb first, with its caution where it can hurt. */
  readonly how: string;
  /** Source that the value has afterwards: a reading by hand, or off a log. */
  readonly by: Extract<Source, 'measured' | 'logged'>;
}

const hand = (name: string, how: string): Measuring => ({ name, how, by: 'measured' });
const log = (name: string, how: string): Measuring => ({ name, how, by: 'logged' });

const FUEL_CARE =
  'Relieve the pressure first, work outdoors, keep sparks and heat away and an extinguisher of class B at hand.';
const PULL_CARE = 'Use a closed road or a rolling road, with a passenger at the laptop.';

/** By path of the input, as {@link Input.path} has it. */
export const MEASURING: Readonly<Record<string, Measuring>> = {
  'engine.compressionRatio': hand(
    'compression ratio',
    'Look it up in the workshop manual if the engine is as built; else, with the head off, fill a combustion chamber from a burette through a plate of acrylic, and add gasket and deck volumes.',
  ),
  'engine.bore': hand(
    'cylinder bore',
    'Look it up in the workshop manual if the block is as built; else measure with a bore gauge at three heights when the head is off.',
  ),
  'engine.stroke': hand(
    'stroke',
    'Look it up in the workshop manual if the crank is as built; else measure the travel of a piston with a depth gauge when the head is off.',
  ),
  'engine.idleSpeed': hand('idle speed', 'Read it warm off the engine computer or a timing light with a tachometer.'),
  'engine.shiftSpeed': log('shift speed', 'Read it off a logged run through the gears.'),
  'engine.volumetricEfficiency': log(
    'filling (volumetric efficiency) over engine speed',
    `Log a full-throttle pull with manifold pressure, charge temperature and an airflow meter, or with wideband lambda and pulse of injectors whose flow is measured. ${PULL_CARE}`,
  ),
  'turbocharger.compressorInducer': hand(
    'compressor wheel inlet diameter',
    'Take the inlet hose off with the engine cold and off, and measure across the wheel with a calliper.',
  ),
  'turbocharger.compressorExducer': hand(
    'compressor wheel outer diameter',
    'Measure it with a calliper while the compressor housing is off.',
  ),
  'turbocharger.turbineWheel': hand('turbine wheel diameter', 'Measure it with a calliper while the housing is off.'),
  'turbocharger.turbineAreaOverRadius': hand(
    'turbine housing area over radius',
    'Read the figure cast into the housing, or measure the throat of the scroll and its distance from the shaft.',
  ),
  'turbocharger.wastegateArea': hand('wastegate port', 'Measure the port with a calliper while the housing is off.'),
  'turbocharger.wastegateCrackPressure': hand(
    'wastegate spring, begin of opening',
    'Pump the actuator up with a hand pump and a gauge, and note the pressure at which a dial gauge on the rod moves.',
  ),
  'turbocharger.wastegateSpan': hand(
    'wastegate spring, to wide open',
    'Pump the actuator further with a hand pump until the rod moves no more; the span is from begin to there.',
  ),
  'chargeCooler.pressureDrop': log(
    'pressure lost in charge cooler and pipes',
    `Tee a pressure sensor or gauge in at the compressor outlet and at the throttle, and read both near the rev limit. Test for boost leaks first. ${PULL_CARE}`,
  ),
  'chargeCooler.effectiveness': log(
    'charge cooler effectiveness',
    `Log the charge temperature before and after the cooler and outside, in one pull that starts with a cold core. ${PULL_CARE}`,
  ),
  'chargeCooler.coreHeatCapacity': hand(
    'heat that the charge cooler stores',
    'Weigh the core dry; aluminium stores 0.9 kJ per kilogram and kelvin.',
  ),
  'intake.filterPressureDrop': log(
    'pressure lost in filter and inlet pipe',
    `Connect a vacuum gauge or a water tube to the pipe just before the compressor and read it near the rev limit. ${PULL_CARE}`,
  ),
  'intake.chargePipeDiameter': hand('charge pipe bore', 'Measure it with a calliper at a hose joint.'),
  'intake.chargeVolume': hand(
    'volume of charge pipes and cooler',
    'Fill them with water while they are off, and weigh it.',
  ),
  'intake.plenumVolume': hand('volume of the intake plenum', 'Fill it with water while it is off, and weigh it.'),
  'intake.throttleDiameter': hand('throttle bore', 'Measure it with a calliper, engine off and ignition off.'),
  'intake.bypassDiameter': hand('bypass valve bore', 'Measure it with a calliper while the valve is off.'),
  'exhaust.pressureDrop': log(
    'exhaust back-pressure after the turbine',
    `Put a gauge with a metre of steel tube in a spare lambda boss after the turbine and read it near the rev limit. The boss is hot: fit it cold. ${PULL_CARE}`,
  ),
  'exhaust.manifoldVolume': hand('exhaust manifold volume', 'Fill it with water while it is off, and weigh it.'),
  'fuel.ethanolContent': hand(
    'ethanol in the fuel',
    `Shake 90 ml of fuel with 10 ml of water in a measuring cylinder and read how far the water line rises. ${FUEL_CARE}`,
  ),
  'fuel.density': hand('fuel density', `Read a hydrometer, and correct it to 15 degC. ${FUEL_CARE}`),
  'fuelSystem.injectorFlow': hand(
    'injector flow',
    `Hold each injector open into a measuring cylinder for a minute at its rated pressure, on a test bench with test fluid. ${FUEL_CARE}`,
  ),
  'fuelSystem.injectorDeadTime': hand(
    'injector dead time',
    `Have two pulse widths of 1000 pulses each caught on a test bench at 14 V; dead time is where the line meets no flow. ${FUEL_CARE}`,
  ),
  'fuelSystem.injectorDeadTimePerVolt': hand(
    'change of dead time with voltage',
    `Repeat the dead time test at 12 V on the bench. ${FUEL_CARE}`,
  ),
  'fuelSystem.smallestPulse': hand(
    'shortest even pulse of the injectors',
    `Shorten the pulse on a test bench until the flow leaves the straight line. ${FUEL_CARE}`,
  ),
  'fuelSystem.railPressure': hand(
    'fuel pressure at the rail',
    `Put a gauge on the rail and read it at idle with the regulator's hose off. ${FUEL_CARE}`,
  ),
  'fuelSystem.pumpFlow': hand(
    'fuel pump flow',
    `Let the return line run into a can for 30 s at rail pressure and charging voltage, and weigh it. ${FUEL_CARE}`,
  ),
  'fuelSystem.pumpFallPerPressure': hand(
    'fall of pump flow with pressure',
    `Repeat the pump test with boost pressure on the regulator from a hand pump. ${FUEL_CARE}`,
  ),
  'injection.nozzleFlow': hand(
    'water-methanol nozzle flow',
    'Spray plain water into a measuring cylinder for 30 s at pump pressure, mix drained and nozzle off the pipe.',
  ),
  'injection.pumpPressure': hand('water-methanol pump pressure', 'Tee a gauge in before the nozzle, with plain water.'),
  'injection.startBoost': log(
    'boost at which injection begins',
    `Log a pull with the injection pump's signal. ${PULL_CARE}`,
  ),
  'injection.methanolMassFraction': hand(
    'methanol in the injected mix',
    'Read a hydrometer at a known temperature, or weigh both parts as you mix. Methanol is poisonous and burns unseen: gloves, eyes covered, outdoors.',
  ),
  'sensors.gaugeCeiling': hand('range of the boost gauge', 'Read the last figure on its face.'),
  'driveline.finalDrive': hand(
    'final drive ratio',
    'Count teeth, or mark propeller shaft and wheel and count turns with both driven wheels on stands.',
  ),
  'driveline.shiftTime': log(
    'time of a full-throttle shift',
    `Read it off a logged run through the gears. ${PULL_CARE}`,
  ),
  'tyres.rollingRadius': hand(
    'tyre roll-out',
    'Mark tyre and floor, push the car five turns with the driver in it at running pressure, and tape the distance.',
  ),
  'body.mass': hand('mass of the car', 'Drive over a public scale with driver and fuel as driven.'),
  'body.drivenAxleLoad': hand('load on the driven axle', 'Weigh with only the driven axle on the scale.'),
  'body.dragArea': log(
    'drag',
    'Log several coast-downs in both directions on a level, closed road without wind, from the highest lawful speed.',
  ),
  'body.rollingResistance': log(
    'rolling resistance',
    'Log several slow coast-downs in both directions on a level, closed road without wind.',
  ),
  'electrical.alternatorVoltage': hand(
    'charging voltage',
    'Read a voltmeter at the battery and at the pump, warm, with lights and fan on.',
  ),
  'targets.boost': log(
    'boost that the control really holds',
    `Log a pull with the manifold pressure sensor checked against a known gauge. ${PULL_CARE}`,
  ),
  'targets.lambda': log(
    'lambda that the engine really runs',
    `Log a pull with a wideband sensor checked in free air. ${PULL_CARE}`,
  ),
  'targets.sparkAdvance': hand(
    'timing at the crank',
    'Read a timing light against the mark at top dead centre, with the engine computer held at a fixed timing. Keep clear of belts and fan.',
  ),
};
