/** Blends and their octane numbers. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { stoichiometricAirFuelRatioOf } from './burned-gas.ts';
import {
  type BlendShares,
  blendName,
  ethanolBlend,
  fuelBlend,
  methanolBlend,
  moleShares,
  octaneBlendingSpread,
  petrolBlend,
  tolueneBlend,
} from './fuel-blends.ts';
import { antiKnockIndex, ETHANOL, type Fuel, HEPTANE, ISOOCTANE, METHANOL, petrol, TOLUENE } from './fuels.ts';
import { expectSolved } from './reason.ts';

const BASE = petrol(95, 85);
const E85 = expectSolved(ethanolBlend(0.85, BASE));

describe('blends', () => {
  const part = fc.constantFrom(BASE, ETHANOL, METHANOL, TOLUENE, ISOOCTANE, HEPTANE);
  const parts = fc.array(fc.record({ fuel: part, volumeFraction: fc.double({ min: 0.01, max: 1, noNaN: true }) }), {
    minLength: 1,
    maxLength: 4,
  });
  it('agree with the stoichiometry of their own atoms and stay between their parts', () => {
    fc.assert(
      fc.property(parts, (list) => {
        const blend = expectSolved(fuelBlend(list, 'blend'));
        expect(blend.stoichiometricAirFuelRatio).toBeCloseTo(stoichiometricAirFuelRatioOf(blend), 6);
        const keys = [
          'lowerHeatingValueJPerKg',
          'latentHeatJPerKg',
          'densityKgPerM3',
          'researchOctane',
          'motorOctane',
        ] as const;
        for (const key of keys) {
          const values = list.map(({ fuel }) => fuel[key]);
          expect(blend[key]).toBeGreaterThanOrEqual(Math.min(...values) * (1 - 1e-9));
          expect(blend[key]).toBeLessThanOrEqual(Math.max(...values) * (1 + 1e-9));
        }
      }),
    );
  });
  it('are the part itself when there is one part', () => {
    const same = expectSolved(fuelBlend([{ fuel: ETHANOL, volumeFraction: 3 }], 'ethanol'));
    for (const key of Object.keys(ETHANOL) as (keyof Fuel)[]) {
      if (key === 'name') continue;
      if (key === 'vapourMolPerKg') expect(same[key].C2H5OH).toBeCloseTo(ETHANOL[key].C2H5OH ?? 0, 9);
      else expect(same[key]).toBeCloseTo(ETHANOL[key], 6);
    }
  });
  it('hold 85.72 % ethanol by mass in E85 (note at FC-04)', () => {
    expect((0.85 * ETHANOL.densityKgPerM3) / E85.densityKgPerM3).toBeCloseTo(0.8572, 4);
  });
  it('raise octane by mole: 10 % ethanol in RON 88 base gives 92 to 94 (Anderson et al. 2010, fig. 3, from memory)', () => {
    const e10 = expectSolved(ethanolBlend(0.1, petrol(88, 82)));
    expect(e10.researchOctane).toBeGreaterThan(91.5);
    expect(e10.researchOctane).toBeLessThan(94);
  });
  it('refuse negative shares and nothing', () => {
    expect(fuelBlend([], 'none')).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    expect(ethanolBlend(1.5, BASE)).toMatchObject({ ok: false });
    expect(expectSolved(tolueneBlend(0.2, BASE)).name).toBe('20 % toluene in petrol RON 95');
    expect(E85.name).toBe('E85 on petrol RON 95');
  });
});

/** Volumes of toluene, isooctane and heptane [%]; RON and MON as rated. Source: ASTM D2699 and D2700, toluene standardization fuels (from memory). */
const STANDARDIZATION_FUELS: readonly (readonly [number, number, number, number, number | null])[] = [
  [50, 0, 50, 65.1, null],
  [58, 0, 42, 75.5, 66.9],
  [66, 0, 34, 85.2, null],
  [70, 0, 30, 89.3, 74.8],
  [74, 0, 26, 93.4, 78.2],
  [74, 5, 21, 96.9, 81.5],
  [74, 10, 16, 99.8, 85.2],
  [74, 15, 11, 103.3, 88.7],
  [74, 20, 6, 107.6, 92.6],
  [74, 26, 0, 113.0, null],
];

describe('octane numbers of blends, outside values', () => {
  it.each(STANDARDIZATION_FUELS)(
    'toluene %d, isooctane %d, heptane %d: rated numbers lie within two standard deviations of blending',
    (toluene, isooctane, heptane, ron, mon) => {
      const blend = expectSolved(
        fuelBlend(
          [
            { fuel: TOLUENE, volumeFraction: toluene },
            { fuel: ISOOCTANE, volumeFraction: isooctane },
            { fuel: HEPTANE, volumeFraction: heptane },
          ],
          'standardization fuel',
        ),
      );
      const base: Fuel = isooctane > heptane ? ISOOCTANE : HEPTANE;
      const spread = octaneBlendingSpread({ ethanol: 0, methanol: 0, toluene: toluene / 100 }, base);
      expect(Math.abs(blend.researchOctane - ron)).toBeLessThan(2 * spread.researchOctane);
      expect(Math.abs(blend.researchOctane - ron)).toBeLessThan(5);
      if (mon !== null) expect(Math.abs(blend.motorOctane - mon)).toBeLessThan(2 * spread.motorOctane);
    },
  );
  it('toluene at 20 % in 60/40 reference fuel: blending octane 124 and 112 (API Research Project 45, from memory)', () => {
    const blend = expectSolved(
      fuelBlend(
        [
          { fuel: TOLUENE, volumeFraction: 20 },
          { fuel: ISOOCTANE, volumeFraction: 48 },
          { fuel: HEPTANE, volumeFraction: 32 },
        ],
        'blend',
      ),
    );
    expect(Math.abs(blend.researchOctane - (0.8 * 60 + 0.2 * 124))).toBeLessThan(2);
    expect(Math.abs(blend.motorOctane - (0.8 * 60 + 0.2 * 112))).toBeLessThan(2);
  });
  it('adds nothing to parts alone', () => {
    for (const shares of [
      { ethanol: 0, methanol: 0, toluene: 0 },
      { ethanol: 1, methanol: 0, toluene: 0 },
      { ethanol: 0, methanol: 0, toluene: 1 },
    ]) {
      const spread = octaneBlendingSpread(shares, BASE);
      expect(spread.researchOctane).toBeCloseTo(0, 9);
      expect(spread.motorOctane).toBeCloseTo(0, 9);
    }
    expect(octaneBlendingSpread({ ethanol: 0.3, methanol: 0, toluene: 0 }, BASE).researchOctane).toBeGreaterThan(1);
  });
});

describe('petrol with alcohols and toluene', () => {
  const shares: fc.Arbitrary<BlendShares> = fc
    .tuple(fc.nat(100), fc.nat(100), fc.nat(100), fc.integer({ min: 1, max: 100 }))
    .map(([ethanol, methanol, toluene, rest]) => {
      const all = ethanol + methanol + toluene + rest;
      return { ethanol: ethanol / all, methanol: methanol / all, toluene: toluene / all };
    });
  it('burns the air that its atoms ask for, keeps the mass of its atoms in its vapour, and moles add to one', () => {
    fc.assert(
      fc.property(shares, (mix) => {
        const blend = expectSolved(petrolBlend(mix, BASE));
        expect(blend.stoichiometricAirFuelRatio).toBeCloseTo(stoichiometricAirFuelRatioOf(blend), 6);
        const x = moleShares(mix, BASE);
        expect(x.ethanol + x.methanol + x.toluene + x.petrol).toBeCloseTo(1, 12);
        const carbonPerKg =
          (blend.vapourMolPerKg.CH3OH ?? 0) +
          2 * (blend.vapourMolPerKg.C2H5OH ?? 0) +
          7 * (blend.vapourMolPerKg.C7H8 ?? 0) +
          8 * (blend.vapourMolPerKg.C8H18 ?? 0);
        const byAtoms = 1 / (0.012011 + 0.001008 * blend.hydrogenToCarbon + 0.015999 * blend.oxygenToCarbon);
        expect(carbonPerKg / byAtoms).toBeCloseTo(1, 6);
      }),
    );
  });
  it('M15 and M85: 14.60 to 6.47 by mass (mass-weighted sum of FC-02 and FC-03)', () => {
    for (const part of [0.15, 0.85]) {
      const methanol = part * METHANOL.densityKgPerM3;
      const byHand = (methanol * 6.474 + (1 - part) * 745 * 14.6) / (methanol + (1 - part) * 745);
      const blend = expectSolved(methanolBlend(part, BASE));
      expect(Math.abs(blend.stoichiometricAirFuelRatio / byHand - 1)).toBeLessThan(0.003);
    }
  });
  it('names what it is', () => {
    expect(blendName({ ethanol: 0, methanol: 0, toluene: 0 }, 'petrol RON 95')).toBe('petrol RON 95');
    expect(blendName({ ethanol: 0, methanol: 1, toluene: 0 }, 'petrol RON 95')).toBe('methanol');
    expect(blendName({ ethanol: 0, methanol: 0.15, toluene: 0 }, 'petrol RON 95')).toBe('M15 on petrol RON 95');
    expect(blendName({ ethanol: 0.3, methanol: 0, toluene: 0.2 }, 'petrol AKI 93')).toBe(
      '30 % ethanol, 20 % toluene in petrol AKI 93',
    );
  });
  it('refuses more than the whole', () => {
    expect(petrolBlend({ ethanol: 0.6, methanol: 0.6, toluene: 0 }, BASE)).toMatchObject({
      ok: false,
      reason: { code: 'input-out-of-range' },
    });
    expect(methanolBlend(Number.NaN, BASE)).toMatchObject({ ok: false });
    expect(antiKnockIndex(expectSolved(petrolBlend({ ethanol: 0, methanol: 0, toluene: 0 }, BASE)))).toBe(90);
  });
});
