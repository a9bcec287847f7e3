/** Fuel and injection as they are typed: what a pump or a can says beside the numbers of the field table, and what cannot be. */
import { z } from 'zod';
import { toSi } from '../physics/units.ts';
import { pouredParts } from './fuel-composition.ts';
import { type Quantity, quantitySchema } from './quantity.ts';

export const FUEL_KINDS = ['petrol', 'ethanol blend', 'blend', 'methanol', 'diesel'] as const;

const octane = (low: number, high: number) =>
  quantitySchema({ dimension: 'ratio', minSi: low, maxSi: high }).optional();
const share = quantitySchema({ dimension: 'ratio', minSi: 0, maxSi: 1 }).optional();

/** Beside the fields of the fuel. */
export const fuelExtras = {
  /** (RON + MON) / 2 of the fuel in the tank, as North American pumps show it (ASTM D4814). */
  antiKnockIndex: octane(60, 125),
  /** The pump petrol that a blend starts from; its octane numbers are as sold, with what ethanol it has. */
  petrol: z
    .strictObject({
      researchOctane: octane(60, 130),
      motorOctane: octane(60, 120),
      antiKnockIndex: octane(60, 125),
      ethanolContent: share,
    })
    .optional(),
};

/** Beside the fields of the injection. */
export const injectionExtras = {
  /** Methanol by volume, instead of methanolMassFraction. */
  methanolVolumeFraction: share,
  /** Volumes measured before mixing (as poured), or methanol over the volume of the finished mix (as handbooks have it). */
  methanolVolumeBasis: z.enum(['before mixing', 'in the finished mix']).optional(),
};

interface Typed {
  readonly kind: (typeof FUEL_KINDS)[number];
  readonly ethanolContent?: Quantity | undefined;
  readonly methanolContent?: Quantity | undefined;
  readonly tolueneContent?: Quantity | undefined;
  readonly researchOctane?: Quantity | undefined;
  readonly motorOctane?: Quantity | undefined;
  readonly antiKnockIndex?: Quantity | undefined;
  readonly petrol?:
    | {
        readonly researchOctane?: Quantity | undefined;
        readonly motorOctane?: Quantity | undefined;
        readonly antiKnockIndex?: Quantity | undefined;
        readonly ethanolContent?: Quantity | undefined;
      }
    | undefined;
}

interface Problem {
  readonly path: string;
  readonly says: string;
}

const typedSi = (quantity: Quantity | undefined): number => (quantity ? toSi(quantity.value, quantity.unit) : 0);
const percent = (value: number): string => `${Number((100 * value).toFixed(1))} %`;

/** Octane numbers that contradict each other by more than labels are rounded. */
const octaneProblems = (
  path: string,
  { researchOctane, motorOctane, antiKnockIndex }: Pick<Typed, 'researchOctane' | 'motorOctane' | 'antiKnockIndex'>,
): Problem[] => {
  const problems: Problem[] = [];
  const ron = typedSi(researchOctane);
  const mon = typedSi(motorOctane);
  const aki = typedSi(antiKnockIndex);
  if (researchOctane && motorOctane && mon > ron + 0.5) {
    problems.push({
      path: `${path}.motorOctane`,
      says: `expected no more than the RON (${ron}), got ${mon}; were the two swapped?`,
    });
  }
  if (researchOctane && motorOctane && antiKnockIndex && Math.abs(aki - (ron + mon) / 2) > 0.6) {
    problems.push({
      path: `${path}.antiKnockIndex`,
      says: `expected (RON + MON) / 2 = ${Number(((ron + mon) / 2).toFixed(1))}, got ${aki}; leave one of the three out`,
    });
  }
  if (antiKnockIndex && !(researchOctane && motorOctane)) {
    const other = researchOctane ? 2 * aki - ron : motorOctane ? 2 * aki - mon : aki;
    if ((researchOctane && (aki > ron + 0.5 || other < 60)) || (motorOctane && (aki < mon - 0.5 || other > 130))) {
      problems.push({
        path: `${path}.antiKnockIndex`,
        says: `expected a value between MON and RON, since it is their mean; got ${aki}`,
      });
    }
  }
  return problems;
};

/** What about a typed fuel cannot be, with what to do. */
export const fuelProblems = (fuel: Typed): Problem[] => {
  const problems: Problem[] = [];
  const shares = {
    ethanol: typedSi(fuel.ethanolContent),
    methanol: typedSi(fuel.methanolContent),
    toluene: typedSi(fuel.tolueneContent),
  };
  const all = shares.ethanol + shares.methanol + shares.toluene;
  const { kind } = fuel;
  if (kind === 'ethanol blend' && !fuel.ethanolContent) {
    problems.push({ path: 'fuel.ethanolContent', says: 'missing; an ethanol blend needs its ethanol content' });
  }
  if (kind === 'blend' && all === 0) {
    problems.push({
      path: 'fuel',
      says: 'expected ethanolContent, methanolContent or tolueneContent, since the kind is "blend"; the rest is petrol',
    });
  }
  if (kind !== 'blend' && kind !== 'methanol') {
    for (const name of ['methanolContent', 'tolueneContent'] as const) {
      if (typedSi(fuel[name]) > 0) {
        problems.push({ path: `fuel.${name}`, says: `expected kind "blend" for a fuel with it, got kind "${kind}"` });
      }
    }
  }
  if ((kind === 'methanol' || kind === 'diesel') && (shares.ethanol > 0 || shares.toluene > 0)) {
    problems.push({ path: 'fuel.kind', says: `expected "blend" for a mixed fuel, got "${kind}"` });
  }
  if (kind === 'methanol' && fuel.methanolContent && shares.methanol < 1) {
    problems.push({
      path: 'fuel.methanolContent',
      says: `expected 100 % for kind "methanol", got ${percent(shares.methanol)}; use kind "blend" for methanol in petrol`,
    });
  }
  if (all > 1 + 1e-9) {
    problems.push({
      path: 'fuel',
      says: `expected shares by volume that add up to no more than 100 % (the rest is petrol), got ${percent(all)}`,
    });
  }
  if (fuel.petrol && kind !== 'blend' && kind !== 'ethanol blend') {
    problems.push({
      path: 'fuel.petrol',
      says: `expected nothing here for kind "${kind}"; it is the pump petrol that a blend starts from. Octane numbers of the fuel itself go to fuel.researchOctane, fuel.motorOctane or fuel.antiKnockIndex`,
    });
  } else if (fuel.petrol?.ethanolContent && all <= 1) {
    const ethanolContent = typedSi(fuel.petrol.ethanolContent);
    if (pouredParts(shares, { ethanolContent }).ethanol < -1e-3) {
      problems.push({
        path: 'fuel.ethanolContent',
        says: `expected at least what the pump petrol brings along (it has ${percent(ethanolContent)} ethanol itself), got ${percent(shares.ethanol)}; give the ethanol of the fuel as it is in the tank`,
      });
    }
  }
  return [
    ...problems,
    ...octaneProblems('fuel', fuel),
    ...(fuel.petrol ? octaneProblems('fuel.petrol', fuel.petrol) : []),
  ];
};

/** What about a typed injection cannot be. */
export const injectionProblems = (
  injection:
    | {
        readonly methanolMassFraction?: Quantity | undefined;
        readonly methanolVolumeFraction?: Quantity | undefined;
        readonly methanolVolumeBasis?: string | undefined;
      }
    | undefined,
): Problem[] => {
  if (!injection) return [];
  if (injection.methanolMassFraction && injection.methanolVolumeFraction) {
    return [
      {
        path: 'injection.methanolVolumeFraction',
        says: 'expected the mix by mass or by volume, not both (the two differ); leave one out',
      },
    ];
  }
  if (injection.methanolVolumeBasis && !injection.methanolVolumeFraction) {
    return [{ path: 'injection.methanolVolumeBasis', says: 'expected a methanolVolumeFraction with it' }];
  }
  return [];
};
