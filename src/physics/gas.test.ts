import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { burnedGas } from './burned-gas.ts';
import { runCheckRows } from './check-rows.testing.ts';
import {
  type Composition,
  DRY_AIR,
  enthalpyJPerKg,
  entropyJPerKgK,
  type Gas,
  gasMixture,
  heatRatio,
  humidAirGas,
  internalEnergyJPerKg,
  isentropicCompressionTemperatureK,
  isentropicTemperatureK,
  specificHeatJPerKgK,
  temperatureFromEnthalpyK,
} from './gas.ts';
import { expectSolved } from './reason.ts';
import { ALL_SPECIES, type Species } from './species.ts';

const TM4513 = 'NASA TM-4513 coefficients';
const pure = (species: Species): Gas => expectSolved(gasMixture({ [species]: 1 }));
const stoichiometric = expectSolved(burnedGas({ hydrogenToCarbon: 1.87, oxygenToCarbon: 0 }, 1));
const molarRise = (species: Species, fromK: number, toK: number): number =>
  (enthalpyJPerKg(pure(species), toK) - enthalpyJPerKg(pure(species), fromK)) * pure(species).molarMassKgPerMol;

describe('gas properties, outside values', () => {
  runCheckRows([
    {
      id: 'GT-01',
      source: TM4513,
      expected: 29.125,
      relative: 0.002,
      got: () => specificHeatJPerKgK(pure('N2'), 300) * pure('N2').molarMassKgPerMol,
    },
    { id: 'GT-02', source: TM4513, expected: 1004.8, relative: 0.002, got: () => specificHeatJPerKgK(DRY_AIR, 300) },
    { id: 'GT-03', source: TM4513, expected: 1140.7, relative: 0.003, got: () => specificHeatJPerKgK(DRY_AIR, 1000) },
    { id: 'GT-04', source: TM4513, expected: 1.3999, absolute: 0.002, got: () => heatRatio(DRY_AIR, 300) },
    {
      id: 'GT-05',
      source: 'ideal-gas table (30.129 - 8.669)',
      expected: 21460,
      relative: 0.002,
      got: () => molarRise('N2', 298.15, 1000),
    },
    {
      id: 'GT-06',
      source: 'ideal-gas table (42.769 - 9.364)',
      expected: 33405,
      relative: 0.002,
      got: () => molarRise('CO2', 298.15, 1000),
    },
    {
      id: 'GT-07',
      source: 'NIST-JANAF 1998',
      expected: 213.795,
      relative: 0.001,
      got: () => entropyJPerKgK(pure('CO2'), 298.15, 1e5) * pure('CO2').molarMassKgPerMol,
    },
    {
      id: 'GT-08',
      source: 'Cengel & Boles Example 9-5: 540 K (from memory)',
      expected: 539.6,
      absolute: 0.5,
      got: () => isentropicTemperatureK(DRY_AIR, 300, 8),
    },
    {
      id: 'GT-09',
      source: TM4513,
      expected: 1303.9,
      relative: 0.005,
      got: () => specificHeatJPerKgK(stoichiometric, 1200),
    },
    { id: 'GT-10', source: TM4513, expected: 1.2817, absolute: 0.003, got: () => heatRatio(stoichiometric, 1200) },
    { id: 'GT-11', source: TM4513, expected: 1021.3, relative: 0.002, got: () => specificHeatJPerKgK(DRY_AIR, 450) },
  ]);
});

const CANTERA: ReadonlyArray<readonly [Composition, number, number, number, number]> = [
  [{ N2: 1 }, 300, 1037.8911357957468, 1970.9938579517507, 498.75032607737694],
  [{ N2: 0.78, O2: 0.21, Ar: 0.01 }, 800, 1097.091517447698, 523544.53023019177, 1255.5553301473806],
  [{ CO2: 0.12, H2O: 0.13, N2: 0.75 }, 1500, 1371.1005000958517, -1263642.9721336109, 2169.512944219005],
  [
    { CO2: 0.09, H2O: 0.12, N2: 0.7, CO: 0.06, H2: 0.03 },
    2200,
    1474.1092280184128,
    -63042.34314047095,
    3157.9466140663058,
  ],
  [{ H2O: 1 }, 450, 1926.9788249705489, -13136154.425244678, 681.7270311901768],
  [{ CO: 1 }, 1200, 1219.181214578923, -2931235.120437525, 1833.8090739640502],
  [{ H2: 1 }, 700, 14555.747970471311, 5828858.722736635, 1150.960737836224],
];

describe('agreement with an independent library', () => {
  // Cantera 3.2.0, gri30 phase, at composition [mol] of the row: cp [J/(kg K)], h [J/kg], T after compression 1:6 [K].
  it.each(CANTERA)('%o', (composition, kelvin, cp, h, compressedK) => {
    const gas = expectSolved(gasMixture(composition));
    expect(Math.abs(specificHeatJPerKgK(gas, kelvin) / cp - 1)).toBeLessThan(2e-5);
    expect(Math.abs(enthalpyJPerKg(gas, kelvin) - h)).toBeLessThan(2e-5 * Math.abs(h) + 20);
    expect(Math.abs(isentropicTemperatureK(gas, kelvin, 6) - compressedK)).toBeLessThan(0.02);
  });
});

const anyComposition: fc.Arbitrary<Composition> = fc
  .array(fc.double({ min: 0, max: 1, noNaN: true }), { minLength: ALL_SPECIES.length, maxLength: ALL_SPECIES.length })
  .filter((shares) => shares.some((share) => share > 0.01))
  .map((shares) => Object.fromEntries(ALL_SPECIES.map((species, i) => [species, shares[i]])));
const anyTemperature = fc.double({ min: 205, max: 3450, noNaN: true });

describe('identities over the whole range', () => {
  it('cp is the slope of h, T ds = dh, u = h - R T', () => {
    fc.assert(
      fc.property(anyComposition, anyTemperature, (composition, kelvin) => {
        // The two halves of the polynomials meet at 1000 K to within their fit, not exactly.
        fc.pre(Math.abs(kelvin - 1000) > 1);
        const gas = expectSolved(gasMixture(composition));
        const d = 0.5;
        const rise = enthalpyJPerKg(gas, kelvin + d) - enthalpyJPerKg(gas, kelvin - d);
        const cp = specificHeatJPerKgK(gas, kelvin);
        expect(Math.abs(rise / (2 * d) / cp - 1)).toBeLessThan(1e-4);
        const ds = entropyJPerKgK(gas, kelvin + d, 1e5) - entropyJPerKgK(gas, kelvin - d, 1e5);
        expect(Math.abs((ds * kelvin) / (2 * d) / cp - 1)).toBeLessThan(1e-4);
        expect(internalEnergyJPerKg(gas, kelvin) + gas.gasConstantJPerKgK * kelvin).toBeCloseTo(
          enthalpyJPerKg(gas, kelvin),
          4,
        );
      }),
    );
  });
  it('turns enthalpy and isentropic changes there and back', () => {
    fc.assert(
      fc.property(
        anyComposition,
        anyTemperature,
        fc.double({ min: 0.2, max: 12, noNaN: true }),
        (composition, kelvin, ratio) => {
          const gas = expectSolved(gasMixture(composition));
          expect(expectSolved(temperatureFromEnthalpyK(gas, enthalpyJPerKg(gas, kelvin)))).toBeCloseTo(kelvin, 1);
          expect(isentropicTemperatureK(gas, isentropicTemperatureK(gas, kelvin, ratio), 1 / ratio)).toBeCloseTo(
            kelvin,
            1,
          );
          const squeezed = isentropicCompressionTemperatureK(gas, kelvin, ratio);
          expect(isentropicCompressionTemperatureK(gas, squeezed, 1 / ratio)).toBeCloseTo(kelvin, 1);
          // A volume ratio v1/v2 makes the pressure ratio (v1/v2)(T2/T1): both routes give one temperature.
          expect(isentropicTemperatureK(gas, kelvin, (ratio * squeezed) / kelvin)).toBeCloseTo(squeezed, 1);
        },
      ),
    );
  });
  it('stays finite and rising far outside its range', () => {
    for (const kelvin of [1, 50, 199, 3501, 5000, 9000]) {
      expect(specificHeatJPerKgK(DRY_AIR, kelvin)).toBeGreaterThan(900);
      expect(enthalpyJPerKg(DRY_AIR, kelvin + 1)).toBeGreaterThan(enthalpyJPerKg(DRY_AIR, kelvin));
    }
    expect(() => isentropicTemperatureK(DRY_AIR, 300, 0)).toThrow(RangeError);
    expect(() => isentropicCompressionTemperatureK(DRY_AIR, -1, 2)).toThrow(RangeError);
  });
});

describe('mixtures', () => {
  it('refuses what is no mixture', () => {
    expect(gasMixture({}).ok).toBe(false);
    expect(gasMixture({ N2: -0.1 })).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    expect(temperatureFromEnthalpyK(DRY_AIR, -1e9)).toMatchObject({ ok: false });
  });
  it('weighs dry air 28.965 g/mol (U.S. Standard Atmosphere: 28.9644) and humid air less', () => {
    expect(DRY_AIR.molarMassKgPerMol * 1000).toBeCloseTo(28.9644, 2);
    const humid = expectSolved(humidAirGas(0.02));
    expect(humid.molarMassKgPerMol).toBeLessThan(DRY_AIR.molarMassKgPerMol);
    // Humidity ratio recovered from the mole fractions.
    const water = humid.moleFractions.H2O!;
    expect((water * 18.015) / ((1 - water) * DRY_AIR.molarMassKgPerMol * 1000)).toBeCloseTo(0.02, 5);
  });
});
