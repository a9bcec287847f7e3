/** Water-methanol mixtures and evaporation. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { moistAirEnthalpyJPerKgDryAir, waterSaturationPressurePa } from './air.ts';
import { runCheckRows } from './check-rows.testing.ts';
import {
  alcoholBoilingPointK,
  alcoholVapourPressurePa,
  evaporateIntoCharge,
  methanolLatentHeatJPerKg,
  relativeHumidityOf,
  saturatedHumidityRatio,
  simpleEvaporativeCoolingK,
  waterLatentHeatJPerKg,
} from './evaporation.ts';
import { METHANOL } from './fuels.ts';
import { expectSolved } from './reason.ts';
import {
  finalVolumeFromMassFraction,
  METHANOL_HAZARD,
  massFractionFromFinalVolume,
  massFractionFromVolumesBeforeMixing,
  mixRecipe,
  volumeBeforeMixingFromMassFraction,
  waterMethanolDensityKgPerM3,
  waterMethanolFreezingPointK,
  waterMethanolHeatingValueJPerKg,
  waterMethanolLatentHeatJPerKg,
} from './water-methanol.ts';

const LANGE = "Lange's Handbook of Chemistry, 15th ed., table 5.13";
const POLING = 'Antoine constants of Poling et al., 5th ed.';
const IF97 = 'IAPWS-IF97';
const freezingC = (w: number): number => expectSolved(waterMethanolFreezingPointK(w)) - 273.15;
const density20 = (w: number): number => expectSolved(waterMethanolDensityKgPerM3(w, 293.15));

describe('water-methanol and evaporation, outside values', () => {
  runCheckRows([
    {
      id: 'WM-01',
      source: 'definition (a), volumes before mixing',
      expected: 44.22,
      absolute: 0.1,
      got: () => 100 * expectSolved(massFractionFromVolumesBeforeMixing(0.5)),
    },
    {
      id: 'WM-02',
      source: LANGE,
      expected: 33.6,
      absolute: 0.3,
      got: () => 100 * expectSolved(massFractionFromFinalVolume(0.4)),
    },
    { id: 'WM-03', source: LANGE, expected: -20, absolute: 0.5, got: () => freezingC(0.249) },
    { id: 'WM-04', source: LANGE, expected: -15.6, absolute: 0.5, got: () => freezingC(0.206) },
    { id: 'WM-05', source: LANGE, expected: -30, absolute: 0.7, got: () => freezingC(0.336) },
    { id: 'WM-06', source: "Perry's (1999) table 2-109", expected: 934.5, relative: 0.0015, got: () => density20(0.4) },
    { id: 'WM-07', source: 'Melinder 2010 (IIR)', expected: 915.7, relative: 0.002, got: () => density20(0.5) },
    {
      id: 'WM-08',
      source: 'mass-weighted sum',
      expected: 1805e3,
      relative: 0.01,
      got: () => expectSolved(waterMethanolLatentHeatJPerKg(0.5)),
    },
    {
      id: 'WM-09',
      source: 'definition',
      expected: 8.75e6,
      relative: 0.01,
      got: () => expectSolved(waterMethanolHeatingValueJPerKg(0.5)),
    },
    {
      id: 'WM-10',
      source: 'mass balance',
      expected: 2.362,
      relative: 0.003,
      got: () => 1000 * expectSolved(mixRecipe(5e-3, 0.4)).methanolM3,
    },
    {
      id: 'FC-16',
      source: 'NFPA 497:2008',
      expected: 6,
      absolute: 0.5,
      got: () => 100 * METHANOL_HAZARD.lowerFlammableLimit,
    },
    {
      id: 'FC-16',
      source: 'NFPA 497:2008',
      expected: 12,
      absolute: 2,
      got: () => METHANOL_HAZARD.flashPointK - 273.15,
    },
    {
      id: 'EV-01',
      source: IF97,
      expected: 2339.2,
      relative: 0.001,
      got: () => expectSolved(waterSaturationPressurePa(293.15)),
    },
    {
      id: 'EV-02',
      source: POLING,
      expected: 13e3,
      relative: 0.01,
      got: () => expectSolved(alcoholVapourPressurePa('methanol', 293.15)),
    },
    {
      id: 'EV-03',
      source: POLING,
      expected: 17.9e3,
      relative: 0.01,
      got: () => expectSolved(alcoholVapourPressurePa('ethanol', 313.15)),
    },
    {
      id: 'EV-04',
      source: 'CRC Handbook',
      expected: 64.6,
      absolute: 0.2,
      got: () => expectSolved(alcoholBoilingPointK('methanol', 101325)) - 273.15,
    },
    { id: 'EV-05', source: IF97, expected: 2441.7e3, relative: 0.001, got: () => waterLatentHeatJPerKg(298.15) },
    { id: 'EV-09', source: IF97, expected: 2256.5e3, relative: 0.001, got: () => waterLatentHeatJPerKg(373.15) },
    {
      id: 'EV-06',
      source: 'energy balance',
      expected: 104.25,
      absolute: 0.3,
      got: () =>
        expectSolved(
          evaporateIntoCharge({
            pressurePa: 200e3,
            temperatureK: 403.15,
            humidityRatio: 0,
            waterPerAir: 0.01,
            methanolPerAir: 0,
            liquidTemperatureK: 298.15,
          }),
        ).temperatureK - 273.15,
    },
    {
      id: 'EV-07',
      source: 'ideal-gas mixture',
      expected: 23.84e-3,
      relative: 0.003,
      got: () => expectSolved(saturatedHumidityRatio(200e3, 313.15)),
    },
    {
      id: 'EV-08',
      source: 'dT = w hfg / cp',
      expected: 23.22,
      absolute: 0.2,
      got: () => simpleEvaporativeCoolingK(0.02, 1168e3),
    },
  ]);
});

describe('mixtures', () => {
  it('turn both volume fractions there and back, and shrink on mixing', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 0.999, noNaN: true }), (w) => {
        expect(
          expectSolved(massFractionFromVolumesBeforeMixing(expectSolved(volumeBeforeMixingFromMassFraction(w)))),
        ).toBeCloseTo(w, 9);
        expect(expectSolved(massFractionFromFinalVolume(expectSolved(finalVolumeFromMassFraction(w))))).toBeCloseTo(
          w,
          6,
        );
        const recipe = expectSolved(mixRecipe(1e-3, w));
        expect(recipe.methanolM3 + recipe.waterM3).toBeGreaterThan(1e-3 * (1 - 1e-9));
      }),
    );
  });
  it('get lighter with methanol and with heat, and freeze lower', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 0.59, noNaN: true }),
        fc.double({ min: 274, max: 312, noNaN: true }),
        (w, kelvin) => {
          const here = expectSolved(waterMethanolDensityKgPerM3(w, kelvin));
          expect(expectSolved(waterMethanolDensityKgPerM3(w + 0.01, kelvin))).toBeLessThan(here);
          expect(freezingC(w + 0.01)).toBeLessThan(freezingC(w));
        },
      ),
    );
    expect(density20(0)).toBeCloseTo(998.2, 6);
    expect(density20(1)).toBeCloseTo(791.4, 6);
  });
  it('is 947.9 kg/m3 at 33.6 % and 15.6 degC (Melinder 2010, note at WM-02)', () => {
    expect(Math.abs(expectSolved(waterMethanolDensityKgPerM3(0.336, 288.75)) - 947.9)).toBeLessThan(1);
  });
  it('refuse fractions that are none and freezing points off the table', () => {
    for (const answer of [
      waterMethanolDensityKgPerM3(1.1),
      massFractionFromVolumesBeforeMixing(-0.1),
      volumeBeforeMixingFromMassFraction(2),
      massFractionFromFinalVolume(Number.NaN),
      waterMethanolFreezingPointK(0.7),
      waterMethanolLatentHeatJPerKg(-1),
      waterMethanolHeatingValueJPerKg(3),
      mixRecipe(-1, 0.5),
    ]) {
      expect(answer).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    }
  });
});

describe('evaporation', () => {
  it('has methanol latent heats of the CRC Handbook, 37.43 kJ/mol at 25 degC and 35.21 at 64.6 degC, within 0.5 %', () => {
    for (const [celsius, kilojoulePerMol] of [
      [25, 37.43],
      [64.6, 35.21],
    ] as const) {
      const molar = (methanolLatentHeatJPerKg(celsius + 273.15) * METHANOL.molarMassKgPerMol) / 1000;
      expect(Math.abs(molar / kilojoulePerMol - 1)).toBeLessThan(0.005);
    }
  });
  const spray = fc.record({
    pressurePa: fc.double({ min: 90e3, max: 300e3, noNaN: true }),
    temperatureK: fc.double({ min: 290, max: 450, noNaN: true }),
    humidityRatio: fc.double({ min: 0, max: 0.008, noNaN: true }),
    waterPerAir: fc.double({ min: 0, max: 0.05, noNaN: true }),
    methanolPerAir: fc.double({ min: 0, max: 0.05, noNaN: true }),
    liquidTemperatureK: fc.double({ min: 275, max: 320, noNaN: true }),
  });
  it('never warms the charge above its start, never passes saturation, and more spray never warms', () => {
    fc.assert(
      fc.property(spray, (state) => {
        const cooled = expectSolved(evaporateIntoCharge(state));
        expect(cooled.temperatureK).toBeLessThanOrEqual(Math.max(state.temperatureK, state.liquidTemperatureK) + 1e-6);
        for (const share of [cooled.waterEvaporated, cooled.methanolEvaporated]) {
          expect(share).toBeGreaterThanOrEqual(0);
          expect(share).toBeLessThanOrEqual(1);
        }
        const vapour = state.humidityRatio + cooled.waterEvaporated * state.waterPerAir;
        const humidity = expectSolved(relativeHumidityOf(vapour, state.pressurePa, cooled.temperatureK));
        if (cooled.waterEvaporated > 0 && state.waterPerAir > 0) expect(humidity).toBeLessThanOrEqual(1 + 1e-6);
      }),
    );
  });
  it('meets adiabatic saturation of water: enthalpy of ASHRAE 2017 ch. 1 before and after agree within 1 %', () => {
    const cooled = expectSolved(
      evaporateIntoCharge({
        pressurePa: 101325,
        temperatureK: 313.15,
        humidityRatio: 0.005,
        waterPerAir: 0.05,
        methanolPerAir: 0,
        liquidTemperatureK: 273.15,
      }),
    );
    expect(cooled.waterEvaporated).toBeLessThan(1);
    const taken = cooled.waterEvaporated * 0.05;
    const before = moistAirEnthalpyJPerKgDryAir(313.15, 0.005);
    const left = (0.05 - taken) * 4186 * (cooled.temperatureK - 273.15);
    const after = moistAirEnthalpyJPerKgDryAir(cooled.temperatureK, 0.005 + taken) + left;
    expect(Math.abs(after / before - 1)).toBeLessThan(0.01);
  });
  it('counts methanol as its own latent heat and vapour', () => {
    const dry = expectSolved(
      evaporateIntoCharge({
        pressurePa: 200e3,
        temperatureK: 400,
        humidityRatio: 0,
        waterPerAir: 0,
        methanolPerAir: 0.01,
        liquidTemperatureK: 298.15,
      }),
    );
    expect(dry.methanolEvaporated).toBe(1);
    const simple = simpleEvaporativeCoolingK(0.01, METHANOL.latentHeatJPerKg);
    expect(Math.abs(400 - dry.temperatureK - simple)).toBeLessThan(0.15 * simple);
  });
  it('refuses states outside its range', () => {
    const bad = {
      pressurePa: 1e5,
      temperatureK: 600,
      humidityRatio: 0,
      waterPerAir: 0,
      methanolPerAir: 0,
      liquidTemperatureK: 300,
    };
    expect(evaporateIntoCharge(bad)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    expect(alcoholVapourPressurePa('methanol', 500)).toMatchObject({ ok: false });
    expect(alcoholBoilingPointK('ethanol', 1)).toMatchObject({ ok: false });
    expect(saturatedHumidityRatio(50e3, 373.15)).toMatchObject({ ok: false });
  });
});
