import { medianOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import type { Finding } from '../types.ts';
import { confidenceBy, finding, inDegC, inKelvins, inKpa, lacking, type Rule } from './rule.ts';
import { spansWhere } from './spans.ts';

/** Engine standing, manifold and barometer read the same air: sensors of this range are good for 1-1.5 kPa each. */
const PRESSURE_OFF_PA = 2.6e3;
/** The pipe's sensor has as wide a range as the manifold's: the errors of both add. */
const OFF_THE_PIPE_PA = 3.4e3;
const STANDING_FOR_S = 0.5;
/** Farther apart they are not two readings of one air: another unit, or gauge taken for absolute. */
const NO_OFFSET_PA = 30e3;
/** On a cold engine all temperatures are the air's; sensors are good for 2 K and soak differs by a few. */
const TEMPERATURE_OFF_K = 6;
const COLD_AGREE_K = 8;
const COLD_K = 273.15 + 40;
/** A wideband that the loop holds at its target reads it: gain errors are 1-2 %. */
const LAMBDA_OFF = 0.026;
const LAMBDA_FOR_S = 3;

const standing = (context: ReviewContext): { from: number; to: number; startS: number; endS: number } | null => {
  const speed = context.on('engine-speed');
  if (!speed) return null;
  const span = spansWhere(context.timesS, (i) => speed[i]! < 30, { minimumS: STANDING_FOR_S })[0];
  return span && span.startS <= context.log.startS + 2 ? span : null;
};

const pressureOffset = (context: ReviewContext, span: NonNullable<ReturnType<typeof standing>>): Finding[] => {
  const barometer = context.channel('barometric-pressure');
  const pipe = context.on('compressor-outlet-pressure');
  // Without a barometer the pipe before the throttle, at rest, is as good a witness for the manifold.
  const witness = barometer ? 'barometric-pressure' : 'compressor-outlet-pressure';
  const outside = barometer ? medianOf(barometer.values) : pipe && medianOf(pipe.subarray(span.from, span.to));
  if (!outside) return [];
  const leastPa = barometer ? PRESSURE_OFF_PA : OFF_THE_PIPE_PA;
  const names = barometer
    ? (['manifold-pressure', 'compressor-outlet-pressure'] as const)
    : (['manifold-pressure'] as const);
  return names.flatMap((name) => {
    const values = context.on(name);
    if (!values) return [];
    const rest = medianOf(values.subarray(span.from, span.to));
    if (rest === null || Math.abs(rest - outside) < leastPa * context.strictness) return [];
    if (Math.abs(rest - outside) > NO_OFFSET_PA) return [];
    const off = rest - outside;
    return [
      finding('sensor-offset', {
        severity: 'fix',
        confidence: confidenceBy(Math.abs(off), leastPa, 6e3),
        startS: span.startS,
        endS: span.endS,
        channels: [name, witness],
        numbers: { offsetPa: off, restPa: rest, witnessPa: outside },
        says: `With the engine standing the ${name.replaceAll('-', ' ')} reads ${inKpa(Math.abs(off), 1)} ${off > 0 ? 'over' : 'under'} ${barometer ? 'the barometer' : 'the pipe before the throttle'}: it is off by that much everywhere.`,
        couldAlsoBe: [
          'a barometer reading that is itself wrong',
          'a scale set for another sensor',
          'vacuum left from a short stop',
        ],
        next: 'Compare with the weather station’s pressure at this altitude, then correct the sensor’s offset; boost and air flow are wrong until then.',
        source: 'definition: at rest both read the outside air',
      }),
    ];
  });
};

const temperatureOffset = (context: ReviewContext, span: NonNullable<ReturnType<typeof standing>>): Finding[] => {
  const restOf = (name: Parameters<ReviewContext['on']>[0]) => {
    const values = context.on(name);
    return values && medianOf(values.subarray(span.from, span.to));
  };
  const charge = restOf('charge-temperature');
  const coolant = restOf('coolant-temperature');
  const oil = restOf('oil-temperature');
  if (charge === null || coolant === null || coolant > COLD_K) return [];
  if (oil !== null && Math.abs(oil - coolant) > COLD_AGREE_K) return [];
  const cold = oil === null ? coolant : (oil + coolant) / 2;
  const off = charge - cold;
  if (Math.abs(off) < TEMPERATURE_OFF_K * context.strictness) return [];
  return [
    finding('sensor-offset', {
      severity: 'fix',
      confidence: confidenceBy(Math.abs(off), TEMPERATURE_OFF_K, 14),
      startS: span.startS,
      endS: span.endS,
      channels: ['charge-temperature', 'coolant-temperature', oil !== null && 'oil-temperature'],
      numbers: { offsetK: off, chargeTemperatureK: charge, coldEngineTemperatureK: cold },
      says: `Before the cold start the charge temperature read ${inDegC(charge)} with the engine at ${inDegC(cold)}: it is off by about ${inKelvins(off)}.`,
      couldAlsoBe: [
        'sun on the bonnet or a bay still warm from a heater',
        'another sensor curve set than the sensor has',
        'a resistance in its wire',
      ],
      next: 'Compare both sensors with a thermometer after a night’s rest and set the right curve; fuel and timing follow this reading.',
      source: 'definition: after a cold soak all sensors read the same air',
    }),
  ];
};

const lambdaOffset = (context: ReviewContext): Finding[] => {
  const lambda = context.on('lambda');
  const target = context.on('lambda-target');
  const speed = context.on('engine-speed');
  const pressure = context.on('manifold-pressure');
  if (!lambda || !target || !speed) return [];
  const coolant = context.on('coolant-temperature');
  const settle = context.samples(0.5);
  const closed = (i: number): boolean =>
    Math.abs(target[i]! - 1) < 0.012 &&
    i >= settle &&
    Math.abs(target[i - settle]! - 1) < 0.012 &&
    speed[i]! > 600 &&
    lambda[i]! < 1.2 &&
    (!coolant || !(coolant[i]! < 273.15 + 55)) &&
    (!pressure || pressure[i]! < context.barometricPressurePa);
  const errors: number[] = [];
  let first = -1;
  let last = -1;
  for (let i = 0; i < lambda.length; i++) {
    if (!closed(i)) continue;
    if (first < 0) first = i;
    last = i;
    errors.push(lambda[i]! - target[i]!);
  }
  const off = medianOf(errors);
  if (off === null || errors.length * context.stepS < LAMBDA_FOR_S || Math.abs(off) < LAMBDA_OFF * context.strictness)
    return [];
  context.correct('lambda', off);
  return [
    finding('sensor-offset', {
      severity: 'fix',
      confidence: confidenceBy(Math.abs(off), LAMBDA_OFF, 0.06),
      startS: context.timesS[first]!,
      endS: context.timesS[last]!,
      channels: ['lambda', 'lambda-target'],
      numbers: { lambdaOffset: off, closedLoopForS: errors.length * context.stepS },
      says: `In closed loop lambda stands ${Math.abs(off).toFixed(3)} ${off > 0 ? 'over' : 'under'} its target for ${inSecondsShort(errors.length * context.stepS)}: the wideband and the control's own sensor disagree.`,
      couldAlsoBe: [
        'an exhaust leak before one of the sensors',
        'the wideband set for another fuel',
        'a sensor that has aged',
      ],
      next: 'Calibrate the wideband in free air and check its joint for leaks before trusting any mixture figure under load.',
      source: 'common practice',
    }),
  ];
};

const inSecondsShort = (timeS: number): string => `${timeS.toFixed(0)} s`;

export const sensorOffset: Rule = {
  id: 'sensor-offset',
  look(context) {
    const rest = standing(context);
    const closedLoop = context.on('lambda') && context.on('lambda-target');
    if (!rest && !closedLoop) return lacking('lambda and lambda-target or a stretch with the engine standing');
    return [
      ...(rest ? [...pressureOffset(context, rest), ...temperatureOffset(context, rest)] : []),
      ...lambdaOffset(context),
    ];
  },
};
