/**
 * No NaN leaves the room: every law that takes plain numbers is called with random inputs of its arguments' kinds, and
 * every law that may refuse must refuse when any of its numbers is missing.
 */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readRoom, valuesOf } from '../../tests/room-contracts.testing.ts';

const here = import.meta.dirname;
const { files, read } = readRoom(here);
const room = await valuesOf(here, files);

/** Range by the name of the argument, first match wins: the unit is part of the name. */
const RANGES: ReadonlyArray<readonly [RegExp, number, number]> = [
  [/^humidityRatio$|PerAir$|^liquidPerAir$/, 0, 0.03],
  [/[Hh]umidity$/, 0.01, 0.99],
  [/vapourPressurePa/, 50, 5000],
  [/downstream.*Pa$|outletPressurePa|outletPressure|inletLossPa|chargeSideLossPa|combustionRisePa/, 1e3, 5e4],
  [/differentialPa|DifferentialPa|boostPa|pressureDifferencePa|pressureRisePa|pressureLossPa/, 1e3, 6e5],
  [/Pressure(Fraction)?Pa|Pa$/, 6e4, 3e5],
  [/coldInletK|liquidTemperatureK/, 270, 320],
  [/temperatureK|TemperatureK|InletK|K$/, 280, 360],
  [/compressionRatio|CompressionRatio|volumeRatio/, 6, 14],
  [/expansionRatio|pressureRatio|PressureRatio|exhaustToIntake|ExhaustToIntake/, 1.05, 3],
  [/heatRatio/, 1.25, 1.4],
  [/gasConstantJPerKgK/, 280, 300],
  [/[Ee]fficiency|[Ss]hare|[Ff]raction|[Dd]uty|probability|capacityRatio|wanted|diameterRatio|burned/, 0.05, 0.9],
  [/lambda/, 0.6, 1.6],
  [/mach/, 0.01, 1],
  [/AirFuelRatio|Ratio$/, 1.5, 15],
  [/Rpm$/, 500, 9000],
  [/Deg$/, -90, 90],
  [/durationDeg/, 20, 90],
  [/octaneNumber|Octane|antiKnock/, 85, 105],
  [/reynolds/, 100, 1e7],
  [/oughness/, 1e-6, 0.02],
  [/viscosityPaS/, 1e-5, 1e-3],
  [/densityKgPerM3|DensityKgPerM3/, 1, 1000],
  [/KgPerS$|massFlow/, 0.01, 0.6],
  [/M3PerS$/, 1e-6, 1e-4],
  [/M3$/, 1e-5, 3e-3],
  [/M2$/, 1e-6, 1e-2],
  [/gasketBoreM|boreM|diameterM|DiameterM|strokeM|M$/, 0.02, 0.2],
  [/massKg|Mass$|Kg$/, 1e-4, 2000],
  [/MPerS$/, 1, 80],
  [/S$/, 1e-4, 10],
  [/W$|PerK$|N$|Nm$/, 10, 1e5],
  [/V$/, 8, 15],
  [/A$/, 0.5, 200],
];

interface Law {
  readonly name: string;
  readonly parameters: readonly string[];
  readonly refuses: boolean;
}

/** Laws whose arguments are all plain numbers, read from the sources. */
const laws: Law[] = files
  .filter((file) => !file.startsWith('compressor-map'))
  .flatMap((file) =>
    [...read(file).matchAll(/^export const (\w+) = \(([^()]*)\): (number|Solved<[^=]+>) =>/gm)].flatMap(
      ([, name, list, result]) => {
        const parts = list!
          .split(',')
          .map((part) => part.trim())
          .filter((part) => part !== '');
        const numeric = parts.every((part) => /^\w+\??: number$/.test(part) || /^\w+(: number)? = [^'"{]+$/.test(part));
        if (!numeric || parts.length === 0) return [];
        return [
          {
            name: name!,
            parameters: parts.map((part) => /^\w+/.exec(part)![0]),
            refuses: result!.startsWith('Solved'),
          },
        ];
      },
    ),
  )
  .filter(({ name }) => typeof room[name] === 'function');

/** Where a law's own range differs from what the name alone says. */
const OWN: Readonly<Record<string, readonly [number, number]>> = {
  'nozzleExpansibility.pressureRatio': [0.75, 0.99],
  'nozzleExpansibility.exponent': [1.1, 1.6],
  'orificeExpansibility.pressureRatio': [0.75, 1],
  'pistonTravelM.crankRadiusM': [0.03, 0.05],
  'pistonTravelM.rodLengthM': [0.1, 0.2],
  'pistonSpeedRatio.rodToCrank': [2.5, 5],
};

const rangeOf = (law: string, parameter: string): readonly [number, number] => {
  const own = OWN[`${law}.${parameter}`];
  if (own) return own;
  const found = RANGES.find(([pattern]) => pattern.test(parameter));
  return found ? [found[1], found[2]] : [0.5, 2];
};

const call = (law: Law, values: readonly number[]): unknown =>
  (room as Record<string, (...args: number[]) => unknown>)[law.name]!(...values);

/** Every number inside an answer, however deep. */
const numbersIn = (answer: unknown): number[] => {
  if (typeof answer === 'number') return [answer];
  if (answer === null || typeof answer !== 'object') return [];
  return Object.values(answer).flatMap(numbersIn);
};

describe('no NaN leaves the room', () => {
  it('reads the laws', () => {
    expect(laws.length).toBeGreaterThan(120);
  });
  it.each(laws)('$name', (law) => {
    const inputs = fc.tuple(
      ...law.parameters.map((parameter) => {
        const [min, max] = rangeOf(law.name, parameter);
        return fc.double({ min, max, noNaN: true });
      }),
    );
    fc.assert(
      fc.property(inputs, (values) => {
        for (const number of numbersIn(call(law, values))) expect(Number.isFinite(number)).toBe(true);
        if (!law.refuses) return;
        values.forEach((_, i) => {
          const broken = values.map((value, j) => (i === j ? Number.NaN : value));
          for (const number of numbersIn(call(law, broken))) expect(Number.isNaN(number)).toBe(false);
        });
      }),
      { numRuns: 30 },
    );
  });
});
