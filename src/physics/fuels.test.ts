import { describe, expect, it } from 'vitest';
import { fuelMolarMassPerCarbonKgPerMol } from './burned-gas.ts';
import { runCheckRows } from './check-rows.testing.ts';
import { ethanolBlend } from './fuel-blends.ts';
import {
  antiKnockIndex,
  ETHANOL,
  energyPerAirJPerKg,
  ISOOCTANE,
  METHANOL,
  molarMassKgPerMol,
  octaneFromAntiKnockIndex,
  oxygenMassFraction,
  PETROL_SENSITIVITY,
  petrol,
  petrolByAntiKnockIndex,
  TOLUENE,
} from './fuels.ts';
import { equivalenceRatio, lambdaFromExhaust, trueAirFuelRatio } from './lambda.ts';
import { expectSolved } from './reason.ts';
import { lambdaToAirFuelRatio } from './units.ts';

const HEYWOOD = 'Heywood (1988) table D.4 (from memory)';
const CRC = 'CRC Handbook (chemicals library tables)';
const ATCT = 'ATcT 1.112 heat of formation';
const BASE = petrol(95, 85);
const E85 = expectSolved(ethanolBlend(0.85, BASE));
const BRETTSCHNEIDER = 'Brettschneider, Bosch Technische Berichte 6 (1979) 177 (atoms from memory)';
const exhaust = (co2: number, co: number, o2: number, hc: number): number =>
  expectSolved(
    lambdaFromExhaust({
      carbonDioxide: co2 / 100,
      carbonMonoxide: co / 100,
      oxygen: o2 / 100,
      hydrocarbonsAsHexane: hc / 100,
      nitricOxide: 0,
    }),
  );

describe('fuels, outside values', () => {
  runCheckRows([
    { id: 'FC-01', source: HEYWOOD, expected: 15.13, relative: 0.003, got: () => ISOOCTANE.stoichiometricAirFuelRatio },
    { id: 'FC-02', source: HEYWOOD, expected: 14.6, relative: 0.003, got: () => BASE.stoichiometricAirFuelRatio },
    { id: 'FC-03', source: HEYWOOD, expected: 6.474, relative: 0.003, got: () => METHANOL.stoichiometricAirFuelRatio },
    {
      id: 'FC-04',
      source: 'mass-weighted sum',
      expected: 9.804,
      relative: 0.003,
      got: () => E85.stoichiometricAirFuelRatio,
    },
    { id: 'FC-05', source: ATCT, expected: 19.94e6, relative: 0.005, got: () => METHANOL.lowerHeatingValueJPerKg },
    { id: 'FC-06', source: ATCT, expected: 26.82e6, relative: 0.005, got: () => ETHANOL.lowerHeatingValueJPerKg },
    {
      id: 'FC-07',
      source: 'mass-weighted sum',
      expected: 29.19e6,
      relative: 0.005,
      got: () => E85.lowerHeatingValueJPerKg,
    },
    { id: 'FC-08', source: CRC, expected: 1168e3, relative: 0.015, got: () => METHANOL.latentHeatJPerKg },
    { id: 'FC-09', source: CRC, expected: 412.5e3, relative: 0.015, got: () => TOLUENE.latentHeatJPerKg },
    { id: 'FC-10', source: CRC, expected: 789.3, relative: 0.001, got: () => ETHANOL.densityKgPerM3 },
    {
      id: 'FC-11',
      source: 'Lemmon & Span 2006 equation of state',
      expected: 867.2,
      relative: 0.002,
      got: () => TOLUENE.densityKgPerM3,
    },
    {
      id: 'FC-12',
      source: 'stoichiometry',
      expected: 34.73,
      absolute: 0.02,
      got: () => 100 * oxygenMassFraction({ carbon: 2, hydrogen: 6, oxygen: 1 }),
    },
    { id: 'FC-13', source: 'Florian & Liming', expected: 108.6, absolute: 2, got: () => ETHANOL.researchOctane },
    { id: 'FC-13', source: 'Florian & Liming', expected: 89.7, absolute: 2, got: () => ETHANOL.motorOctane },
    {
      id: 'FC-14',
      source: 'ratio of FC-05 and FC-03',
      expected: 3.079e6,
      relative: 0.008,
      got: () => energyPerAirJPerKg(METHANOL),
    },
    { id: 'FC-15', source: CRC, expected: 307.6e3, relative: 0.015, got: () => ISOOCTANE.latentHeatJPerKg },
    { id: 'LM-01', source: 'definition', expected: 11.76, absolute: 1e-6, got: () => lambdaToAirFuelRatio(0.8, 14.7) },
    { id: 'LM-02', source: 'definition', expected: 1.25, absolute: 1e-6, got: () => equivalenceRatio(0.8) },
    { id: 'LM-03', source: BRETTSCHNEIDER, expected: 1.0047, absolute: 5e-4, got: () => exhaust(14.7, 0.5, 0.5, 0.01) },
    { id: 'LM-04', source: BRETTSCHNEIDER, expected: 0.8889, absolute: 5e-4, got: () => exhaust(12, 4, 0.3, 0.03) },
    {
      id: 'LM-07',
      source: 'wide-band sensors measure lambda',
      expected: 5.168,
      relative: 5e-4,
      got: () => trueAirFuelRatio(11.76, 14.7, 6.46),
    },
  ]);
});

describe('petrol and lambda', () => {
  it('keeps the index it was sold by', () => {
    const fuel = petrolByAntiKnockIndex(93);
    expect(antiKnockIndex(fuel)).toBeCloseTo(93, 12);
    expect(fuel.researchOctane - fuel.motorOctane).toBeCloseTo(PETROL_SENSITIVITY.usual, 12);
    expect(octaneFromAntiKnockIndex(90, 10)).toEqual({ researchOctane: 95, motorOctane: 85 });
    expect(fuel.name).toBe('petrol AKI 93');
  });
  it('weighs methanol 32.04 g/mol (CRC) and CH1.87 13.9 g per mole of carbon', () => {
    expect(molarMassKgPerMol({ carbon: 1, hydrogen: 4, oxygen: 1 }) * 1000).toBeCloseTo(32.042, 2);
    expect(fuelMolarMassPerCarbonKgPerMol(BASE) * 1000).toBeCloseTo(13.896, 2);
  });
  it('refuses exhaust without carbon dioxide', () => {
    expect(
      lambdaFromExhaust({
        carbonDioxide: 0,
        carbonMonoxide: 0,
        oxygen: 0.209,
        hydrocarbonsAsHexane: 0,
        nitricOxide: 0,
      }),
    ).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
  });
});
