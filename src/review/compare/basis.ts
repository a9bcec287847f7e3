/** What one pull says for a comparison: powers by each method with everything that moves them, and readings by bin. */
import type { Input, ResolvedBuild } from '../../car/index.ts';
import type { ChannelName, Log } from '../../logs/index.ts';
import { combine, dayOf, type Method, pullEstimates, type Unknown, unknownsOf } from '../power/index.ts';
import { readingBins } from './reading-bins.ts';
import type { BasisAir, BasisBin, BasisCell, PullBasis } from './types.ts';

/** One standard deviation of the barometer by where it is from [Pa] (common practice, no source). */
const BAROMETER_SD_PA: Readonly<Record<Log['barometricFrom'], number>> = {
  channel: 200,
  given: 200,
  'manifold at rest': 500,
  'charge pipe at light load': 1000,
  'target at rest': 1000,
  assumed: 2500,
};
/** Of outside air [K]: a sensor, and the standard atmosphere's temperature for any day (common practice, no source). */
const TEMPERATURE_SD_K = { known: 1.5, assumed: 9 } as const;
/** Roads see 15 to 95 % on most days (common practice, no source). */
const HUMIDITY_SD = 0.2;

/** Tank, people and luggage differ from one day to the next by about this [kg], one standard deviation (common practice, no source). */
const MASS_OF_THE_DAY_KG = 15;

/** Unknowns of a log's day or of its own readings, by name; the other errors of a log stay with car and sensors. */
export const DAY_UNKNOWNS: ReadonlySet<string> = new Set([
  'log: airDensityGain',
  'log: grade',
  'log: headWindMPerS',
  'log: startSlip',
  'log: mass of the day',
]);

const airOf = (log: Log): BasisAir => {
  const day = dayOf(log);
  return {
    barometricPressurePa: day.barometricPressurePa,
    barometricPressureSdPa: BAROMETER_SD_PA[log.barometricFrom],
    ambientTemperatureK: day.ambientTemperatureK,
    ambientTemperatureSdK: day.ambientTemperatureKnown ? TEMPERATURE_SD_K.known : TEMPERATURE_SD_K.assumed,
    relativeHumidity: day.relativeHumidity,
    relativeHumiditySd: HUMIDITY_SD,
  };
};

const nameOf = (unknown: Unknown, inputs: readonly Input[]): string =>
  'error' in unknown ? `log: ${unknown.error}` : inputs[unknown.input]!.path;

/** What a text says of an input: an estimate by class stays the same guess, however it comes out. */
const inputTexts = ({ inputs, car }: ResolvedBuild): Record<string, string> => {
  const curves: Readonly<Record<string, unknown>> = {
    'engine.volumetricEfficiency': car.curves.volumetricEfficiency,
  };
  return Object.fromEntries(
    inputs.map(({ path, valueSi, sdSi, estimated }) => [
      path,
      estimated ? 'estimate' : JSON.stringify([valueSi, sdSi, curves[path] ?? null]),
    ]),
  );
};

/** Digits kept of a derivative: far finer than what it is worth, and shorter as text. */
const rounded = (value: number): number => Number(value.toPrecision(5));

/**
 * Everything that a comparison needs of pull `index` of a log.
 * @param logId names the file, the same for all pulls of it
 * @param doubted channels that the review does not believe
 */
export const pullBasis = (
  log: Log,
  logId: string,
  index: number,
  resolved: ResolvedBuild,
  doubted: ReadonlySet<ChannelName>,
): PullBasis => {
  const pull = log.pulls[index];
  if (!pull) throw new RangeError(`the log has no pull ${index}`);
  const estimates = pullEstimates(log, pull, resolved, dayOf(log), doubted);
  const together = combine(estimates);
  const unknowns = unknownsOf(resolved);
  const names = unknowns.map((unknown) => nameOf(unknown, resolved.inputs));
  const mass = unknowns.findIndex(
    (unknown) => !('error' in unknown) && resolved.inputs[unknown.input]!.path === 'body.mass',
  );
  const massUnknown = unknowns[mass];
  /** Share of the mass's own move that the load of the day makes. */
  const massOfTheDay =
    massUnknown && !('error' in massUnknown)
      ? MASS_OF_THE_DAY_KG / (massUnknown.step * resolved.inputs[massUnknown.input]!.sdSi)
      : 0;
  const movesOf = (moves: Float64Array): Record<string, number> => {
    const named: Record<string, number> = {};
    moves.forEach((move, i) => {
      if (move !== 0) named[names[i]!] = rounded(move);
    });
    const byMass = (moves[mass] ?? 0) * massOfTheDay;
    if (byMass !== 0 && Number.isFinite(byMass)) named['log: mass of the day'] = rounded(byMass);
    return named;
  };
  const cellsOf = (bin: number): BasisCell[] =>
    estimates.cells
      .filter((cell) => cell.bin === bin)
      .map(({ method, logPower, noiseSd, moves }) => ({ method, logPower, noiseSd, moves: movesOf(moves) }));
  const bins: BasisBin[] = [];
  estimates.bins.forEach(({ gear, engineSpeedRpm, meanSpeedRpm }, i) => {
    if (bins.some((bin) => bin.gear === gear && bin.engineSpeedRpm === engineSpeedRpm)) return;
    const cells = cellsOf(i);
    if (cells.length === 0) return;
    bins.push({ gear, engineSpeedRpm, meanSpeedRpm, levelSd: together.combined[i]?.sd ?? null, cells });
  });
  const setAside: Method | null = together.outlier?.method ?? null;
  return {
    logId,
    pull: index,
    startS: pull.startS,
    endS: pull.endS,
    gears: pull.gears,
    minEngineSpeedRpm: pull.minEngineSpeedRpm,
    maxEngineSpeedRpm: pull.maxEngineSpeedRpm,
    air: airOf(log),
    ignition: resolved.car.facts.ignition,
    aspiration: resolved.car.facts.aspiration,
    manifoldPressureIsGauge: log.channels.some(
      ({ channel, reference }) => channel === 'manifold-pressure' && reference === 'gauge',
    ),
    logged: [...new Set(log.channels.map(({ channel }) => channel))].filter((name) => !doubted.has(name)),
    inputs: inputTexts(resolved),
    bins,
    readings: readingBins(log, pull, doubted),
    setAside,
    problems: estimates.problems,
  };
};
