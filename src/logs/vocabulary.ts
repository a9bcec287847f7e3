/** Names of columns as loggers of every kind write them, read into the house's channels. General trade words only. */
import { FOLDED } from './fold-words.ts';
import type { ChannelName } from './types.ts';

/** Folded phrase of a name: words one blank apart with one at each end. */
export const foldedPhrase = (words: readonly string[]): string => {
  const out = words.map((word) => FOLDED.get(word) ?? word).filter((word) => word !== '');
  return ` ${out.join(' ')} `;
};

/** One way of naming a channel. `channel: null` names something known that is none of the channels, so nothing else may claim it. */
interface NameRule {
  readonly channel: ChannelName | null;
  readonly sure: number;
  readonly pattern: RegExp;
  readonly unless?: RegExp;
}

const rule = (channel: ChannelName | null, sure: number, pattern: RegExp, unless?: RegExp): NameRule => ({
  channel,
  sure,
  pattern,
  ...(unless ? { unless } : {}),
});

/** First match wins, so the particular stands before the general. */
const RULES: readonly NameRule[] = [
  // Differences, limits and states that share words with channels.
  rule(
    null,
    0.9,
    / (error|deviation|delta|limit|limiter|threshold|max|min|minimum|maximum|cut|enrich|enrichment|dwell|dead|deadtime|offset|pid|proportional|derivative|feedforward|warning|alarm|fault|status|state|select|mode|table|cell|gain|scaler|model|reserve|brake|steering|cam|vvt|camshaft|torque|power|lat|vertical|yaw|roll|pitch|heading|latitude|longitude|lon|egr|dpf|catalyst|cat|ac|aircon|fan|alternator|tank|consumption|economy|distance|odometer|gearbox|transmission|trans|diff|differential|tyre|tire|ratio)(?= )/,
    / (air fuel ratio|knock count|knock|lambda ratio|fuel ratio|egt|maf|idle) /,
  ),
  rule(null, 0.8, / (threshold|window) /),
  rule(
    null,
    0.8,
    / (compressor|turbo) (in|intake) .*pressure | pressure .*before (compressor|turbo) | before (compressor|turbo) pressure | filter .*pressure /,
    / exhaust /,
  ),
  rule(null, 0.8, / (map|boost) .*(switch|index|number) /),
  rule(null, 0.8, / (water|coolant) pressure | pressure (water|coolant) /, / (wmi|injector) /),
  rule(null, 0.8, / (ratio|correction) .*(boost|map|pressure|temp|duty|throttle|idle) /),
  // Targets.
  rule('lambda-target', 0.97, / (lambda|air fuel|afr) .*target | target .*(lambda|air fuel|afr) /),
  rule(
    'manifold-pressure-target',
    0.96,
    / (boost|map|manifold|charge pressure) .*target | target .*(boost|map|manifold|charge pressure) /,
    / (duty|solenoid|wastegate|valve|temp) /,
  ),
  rule(null, 0.8, / target /, / knock /),
  // Knock and misfire.
  rule(
    'knock-retard',
    0.95,
    / knock .*(retard|correction|angle|ignition|timing|advance|learn|feedback|long) | (retard|correction|ignition|timing|feedback) .*knock /,
  ),
  rule('knock-count', 0.95, / knock .*(count|total) | (count|rpm) .*knock | knocks /),
  rule('knock-level', 0.92, / knock .*(level|sensor|voltage|speed|cyl) | (level|sensor|voltage) .*knock /),
  rule('knock-level', 0.6, / knock /),
  rule('misfire-count', 0.95, / misfire /),
  // Fuel trims before lambda.
  rule(
    'fuel-trim-long',
    0.95,
    / (fuel|lambda|mixture) .*(trim|correction) .*long | long .*trim | trim .*long | long .*fuel .*correction | fuel .*long .*(trim|correction) /,
    / (ignition|boost|idle) /,
  ),
  rule(
    'fuel-trim',
    0.95,
    / (short|fuel|lambda|mixture|closed loop|o2) .*(trim|correction) | trim .*(short|fuel) | fuel trim | short (trim|correction) /,
    / (ignition|boost|idle|temp|cyl|individual) /,
  ),
  // Water-methanol.
  rule('injection-flow', 0.95, / (wmi|water) .*flow | flow .*(wmi|water) /, / (coolant|pump) /),
  rule('injection-pressure', 0.93, / (wmi|water) .*pressure | pressure .*(wmi|water injector) /, / (coolant) /),
  rule(null, 0.8, / wmi /),
  // Exhaust.
  rule('lambda', 0.93, / exhaust lambda | lambda exhaust /),
  rule(
    'exhaust-temperature',
    0.96,
    / (exhaust|turbine) .*temp | temp .*(exhaust|turbine) | before turbine temp /,
    / (after turbo|compressor) /,
  ),
  rule(
    'exhaust-pressure',
    0.95,
    / (exhaust|turbine|back|before turbo) .*pressure | pressure .*(exhaust|turbine|before turbo) | back pressure /,
    / (compressor|intake manifold|fuel) /,
  ),
  // Mixture.
  rule(
    'lambda',
    0.95,
    / (lambda|air fuel ratio|air fuel|o2 ratio|equivalence) /,
    / (sensor temp|heater|resistance|temp) /,
  ),
  rule('lambda', 0.6, / (o2|oxygen) /, / (heater|voltage|temp) /),
  rule('ethanol-content', 0.95, / ethanol | e85 | fuel composition /, / temp /),
  // Turbo shaft.
  rule(
    'shaft-speed',
    0.96,
    / (turbo|turbine|compressor) .*(speed|rpm) | (speed|rpm) .*(turbo|turbine|compressor) | (turbo|compressor) shaft | rpm turbo | turbospeed /,
  ),
  rule(
    'shaft-speed',
    0.85,
    / shaft (speed|rpm) /,
    / (in|input|intake|out|propeller|prop|driven|half|lay|counter|crank) /,
  ),
  rule(null, 0.8, / shaft /, / crank /),
  // Temperatures of the air on its way.
  rule(
    'compressor-outlet-temperature',
    0.96,
    / (compressor|turbo) .*out.*temp | temp .*(compressor|turbo) .*out | after (turbo|compressor) .*temp | temp .*after (turbo|compressor) | before .*cooler .*temp | temp .*before .*cooler | cooler (in|intake) .*temp | temp cooler (in|intake) | temp compressor | compressor temp | temp turbo out /,
    / (in|intake) (temp|air) /,
  ),
  rule(
    'charge-temperature',
    0.96,
    / after .*cooler .*temp | temp .*after .*cooler | cooler out .*temp | temp .*cooler out /,
  ),
  rule(
    'intake-temperature',
    0.95,
    / (before|intake) (turbo|compressor) .*temp | temp .*(before|intake) .*(turbo|compressor) | (turbo|compressor) (in|intake) .*temp | temp .*(turbo|compressor) (in|intake) | (filter|airbox|air box|air cleaner|maf) .*temp | temp .*(filter|airbox|air box|maf) | temp air in /,
  ),
  rule('ambient-temperature', 0.95, / ambient .*temp | temp .*ambient /),
  rule(
    'charge-temperature',
    0.94,
    / (charge|boost|throttle body) .*temp | temp .*charge | (manifold) .*temp | temp .*manifold /,
  ),
  rule(
    'charge-temperature',
    0.75,
    / iat | (intake|air) .*temp | temp .*(intake|air) | iat temp /,
    / (oil|coolant|fuel|water) /,
  ),
  // Fluids.
  rule('oil-temperature', 0.96, / oil .*temp | temp .*oil /),
  rule('oil-pressure', 0.96, / oil .*pressure | pressure .*oil /),
  rule(
    'coolant-temperature',
    0.96,
    / (coolant|water) .*temp | temp .*(coolant|water) | coolant /,
    / (pressure|level|flow|pump) /,
  ),
  rule('coolant-temperature', 0.7, / engine temp | temp engine /),
  rule('fuel-pressure', 0.95, / (fuel|rail) .*pressure | pressure .*(fuel|rail) /, / (temp|before pump|low pump) /),
  rule(null, 0.7, / fuel temp | temp fuel /),
  // Pressures of the air on its way.
  rule(
    'compressor-outlet-pressure',
    0.94,
    / (before|charge pipe|pipe|intake) throttle .*(pressure|boost) | (charge|boost) (pipe|hose|tube) | (pipe|hose|tube) (boost|pressure) | (pressure|boost) .*(before throttle|charge pipe|compressor|turbo out|cooler) | (compressor|turbo|after turbo|after compressor) .*(pressure|boost) | cooler .*(pressure|boost) | throttle intake pressure | pressure before throttle | tip pressure | charge air pressure /,
    / (temp|ratio|compressor in|turbo in|compressor intake|turbo intake) /,
  ),
  rule(
    'barometric-pressure',
    0.97,
    / barometric | ambient .*pressure | pressure .*ambient | ambient air pressure /,
    / temp /,
  ),
  // Boost control before boost.
  rule(null, 0.8, / wastegate .*(position|lift) | (position|lift) wastegate /),
  rule(
    'wastegate-duty',
    0.95,
    / (wastegate|boost) .*(duty|solenoid|control|valve) | (duty|solenoid) .*(wastegate|boost) | wastegate /,
    / (pressure|temp|position) /,
  ),
  rule(
    'manifold-pressure',
    0.96,
    / manifold .*(pressure|boost) | (pressure|boost) .*manifold | map | manifold absolute | intake .*pressure | pressure .*intake /,
    / (temp|exhaust|fuel|oil) /,
  ),
  rule('manifold-pressure', 0.93, / boost | charge pressure /, / (temp|duty|control|solenoid) /),
  // Air flow.
  rule('air-flow-frequency', 0.9, / (maf|air flow|air mass|mass flow) .*frequency | frequency .*(maf|air) /),
  rule(
    'air-flow',
    0.95,
    / maf | mass air | air mass | air flow | flow .*air | mass flow | mass air flow | intake air flow | air .*flow /,
    / (temp|voltage|fuel) /,
  ),
  // Injectors and ignition.
  rule('injector-duty', 0.96, / injector .*duty | duty .*injector /),
  rule(
    'injector-pulse',
    0.95,
    / injector .*(pulse|time|on) | (pulse|time) .*injector | injector pulse | pulse | fuel pulse /,
    / (angle|timing|temp|advance|count) /,
  ),
  rule(null, 0.8, / injector /),
  rule(
    'spark-advance',
    0.95,
    / (ignition|timing) .*(advance|angle|timing) | (advance|angle|timing) .*(ignition) | ignition timing | ignition | timing advance /,
    / (voltage|coil|retard|switch|on) /,
  ),
  rule('spark-advance', 0.8, / timing | advance /, / (retard|injector) /),
  // Driver.
  rule('clutch-switch', 0.93, / clutch /, / (slip|temp|pressure|speed|torque) /),
  rule('pedal', 0.96, / pedal /, / clutch /),
  rule('throttle', 0.95, / throttle /, / (pressure|boost|temp|voltage) /),
  rule('gear', 0.95, / gear /, / (temp|oil|speed|rpm|shift) /),
  // Electrics.
  rule(
    'battery-voltage',
    0.95,
    / battery | (supply|system) (voltage|speed) | supply voltage | voltage (supply|system) | system voltage /,
    / (current|temp|charge level|soc) /,
  ),
  // Movement.
  rule('satellite-speed', 0.95, / satellite .*speed | speed .*satellite /),
  rule(
    'satellite-speed',
    0.6,
    / satellite /,
    / (altitude|time|course|lock|fix|accuracy|count|acceleration|long|in view|used) /,
  ),
  rule('wheel-speed-undriven', 0.95, / undriven | non driven | not driven | speed undriven /),
  rule('wheel-speed-driven', 0.95, / driven .*(wheel|speed) | (wheel|speed) .*driven /, / (non|not|undriven) /),
  rule(
    'acceleration',
    0.94,
    / acceleration .*long | long .*(acceleration|g) | g long | acceleration | g force long /,
    / (pedal|y|z|lat|fuel|pump) /,
  ),
  rule('acceleration', 0.85, /^ long $/),
  rule('altitude', 0.9, / altitude /),
  rule('vehicle-speed', 0.96, / vehicle .*speed | speed .*vehicle /, / (wheel|engine) /),
  rule(
    'engine-speed',
    0.98,
    / engine .*(speed|rpm) | (speed|rpm) .*engine | rpm engine | crank .*(speed|rpm) /,
    / (idle|wheel) /,
  ),
  rule('engine-speed', 0.95, / rpm /, / (wheel|idle|turbo|count|pump|knock|misfire|in|out) /),
  rule('vehicle-speed', 0.85, / wheel speed | speed wheel /),
  rule('vehicle-speed', 0.9, / speed /, / (idle|fan|pump|engine|wind|in|out) /),
  rule('battery-voltage', 0.7, /^ voltage $/),
];

export interface NameGuess {
  readonly channel: ChannelName | null;
  readonly sure: number;
}

/** Every channel that the words of a name may mean, likeliest first; a null channel ends the list (the name is known to be something else). */
export const guessesByName = (words: readonly string[]): NameGuess[] => {
  const phrase = foldedPhrase(words);
  const guesses: NameGuess[] = [];
  for (const { channel, sure, pattern, unless } of RULES) {
    if (!pattern.test(phrase) || unless?.test(phrase)) continue;
    if (guesses.some((guess) => guess.channel === channel)) continue;
    guesses.push({ channel, sure: sure * 0.9 ** guesses.length });
    if (channel === null) break;
  }
  return guesses;
};
