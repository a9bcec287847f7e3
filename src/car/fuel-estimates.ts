/** Fuel properties that nobody typed: from the composition where one is known, else usual values by kind of fuel. */
import { PETROL_SENSITIVITY } from '../physics/index.ts';
import type { Build } from './build-schema.ts';
import type { CarFacts } from './car.ts';
import type { Better, Estimate, Known } from './estimate.ts';
import {
  type BlendedFuel,
  blendedFuel,
  DIESEL,
  fuelSharesOf,
  type PetrolAsSold,
  soldFor,
  USUAL_PETROL,
} from './fuel-composition.ts';
import { type Quantity, type Source, toUncertain } from './quantity.ts';

/** Octane numbers as far as somebody typed them. */
interface TypedOctane {
  readonly researchOctane?: Quantity | undefined;
  readonly motorOctane?: Quantity | undefined;
  readonly antiKnockIndex?: Quantity | undefined;
}

/** RON and MON with one standard deviation each. */
export interface KnownOctane {
  readonly researchOctane: number;
  readonly motorOctane: number;
  readonly researchSd: number;
  readonly motorSd: number;
  readonly source: Source;
  readonly why: string;
}

/** Octane rating on a pump or a can is a minimum, met within a few tenths (ASTM D2699 reproducibility 0.7, from memory). */
const RATED_SD = 0.4;
const OCTANE_RELATIVE = { measured: 0.004, logged: 0.004, 'data-sheet': 0.004, estimate: 0.02 } as const;

const sdOf = (quantity: Quantity): number => Math.max(RATED_SD, toUncertain(quantity, OCTANE_RELATIVE).sdSi);

/**
 * RON and MON from what is typed: both, one of them, or their mean (AKI, ASTM D4814), with the sensitivity RON - MON of
 * the fuel and its plus-minus. `usual` stands where nothing is typed.
 */
export const octaneFromTyped = (
  typed: TypedOctane,
  sensitivity: { readonly usual: number; readonly spread: number },
  usual: KnownOctane,
): KnownOctane => {
  const { researchOctane: ron, motorOctane: mon, antiKnockIndex: aki } = typed;
  const { usual: s, spread } = sensitivity;
  if (ron && mon) {
    return {
      researchOctane: ron.value,
      motorOctane: mon.value,
      researchSd: sdOf(ron),
      motorSd: sdOf(mon),
      source: ron.source,
      why: 'as typed',
    };
  }
  if (aki && ron) {
    const motorSd = Math.hypot(2 * sdOf(aki), sdOf(ron));
    return {
      researchOctane: ron.value,
      motorOctane: 2 * aki.value - ron.value,
      researchSd: sdOf(ron),
      motorSd,
      source: aki.source,
      why: 'from AKI and RON',
    };
  }
  if (aki && mon) {
    const researchSd = Math.hypot(2 * sdOf(aki), sdOf(mon));
    return {
      researchOctane: 2 * aki.value - mon.value,
      motorOctane: mon.value,
      researchSd,
      motorSd: sdOf(mon),
      source: aki.source,
      why: 'from AKI and MON',
    };
  }
  if (aki) {
    const sd = Math.hypot(sdOf(aki), spread / 2);
    return {
      researchOctane: aki.value + s / 2,
      motorOctane: aki.value - s / 2,
      researchSd: sd,
      motorSd: sd,
      source: aki.source,
      why: `from AKI ${aki.value} with RON ${s.toFixed(1)} above MON (plus-minus ${spread.toFixed(1)})`,
    };
  }
  if (ron) {
    return {
      researchOctane: ron.value,
      motorOctane: ron.value - s,
      researchSd: sdOf(ron),
      motorSd: Math.hypot(sdOf(ron), spread),
      source: ron.source,
      why: `from RON less ${s.toFixed(1)}`,
    };
  }
  if (mon) {
    return {
      researchOctane: mon.value + s,
      motorOctane: mon.value,
      researchSd: Math.hypot(sdOf(mon), spread),
      motorSd: sdOf(mon),
      source: mon.source,
      why: `from MON and ${s.toFixed(1)}`,
    };
  }
  return usual;
};

const USUAL: KnownOctane = {
  researchOctane: USUAL_PETROL.researchOctane,
  motorOctane: USUAL_PETROL.motorOctane,
  researchSd: 0.015 * USUAL_PETROL.researchOctane,
  motorSd: 0.015 * USUAL_PETROL.motorOctane,
  source: 'estimate',
  why: 'usual petrol (EN 228)',
};

/** Octane numbers of the petrol as sold: of the fuel itself, or of what a blend starts from. */
const soldOctane = (build: Build): KnownOctane =>
  octaneFromTyped(build.fuel.kind === 'petrol' ? build.fuel : (build.fuel.petrol ?? {}), PETROL_SENSITIVITY, USUAL);

/** The petrol as sold of a build: what is typed in `fuel.petrol`, or usual petrol. */
export const petrolAsSoldOf = (build: Build): PetrolAsSold => {
  const { researchOctane, motorOctane } = soldOctane(build);
  const ethanol = build.fuel.petrol?.ethanolContent;
  return { researchOctane, motorOctane, ethanolContent: ethanol ? toUncertain(ethanol).valueSi : 0 };
};

const isBlend = (kind: CarFacts['fuelKind']): boolean => kind === 'ethanol blend' || kind === 'blend';

/** The blend of a build from its shares; diesel as itself. */
const composed = (build: Build, known: Known): BlendedFuel => {
  const shares = fuelSharesOf({
    facts: { fuelKind: build.fuel.kind },
    fuel: {
      ethanolContent: known('fuel', 'ethanolContent'),
      methanolContent: known('fuel', 'methanolContent'),
      tolueneContent: known('fuel', 'tolueneContent'),
    },
  });
  if (shares === null)
    return { fuel: DIESEL, octaneSpread: { researchOctane: 0.9, motorOctane: 0.9 }, petrolByMole: 1 };
  return blendedFuel(shares, soldFor({ fuelKind: build.fuel.kind, petrolAsSold: petrolAsSoldOf(build) }, shares));
};

/** Plus-minus of octane numbers measured on neat alcohols and toluene. Source: spread of compilations (Florian & Liming and others). */
const NEAT_OCTANE_SD = 1;

/** RON and MON of the fuel in the tank. */
const tankOctane = (build: Build, known: Known): KnownOctane => {
  const { fuel, octaneSpread, petrolByMole } = composed(build, known);
  const sold = soldOctane(build);
  const neat = NEAT_OCTANE_SD * (1 - petrolByMole);
  const usual: KnownOctane = {
    researchOctane: fuel.researchOctane,
    motorOctane: fuel.motorOctane,
    researchSd: Math.hypot(octaneSpread.researchOctane, petrolByMole * sold.researchSd, neat),
    motorSd: Math.hypot(octaneSpread.motorOctane, petrolByMole * sold.motorSd, neat),
    source: 'estimate',
    why: isBlend(build.fuel.kind) ? `${fuel.name}, octane by mole` : `usual ${build.fuel.kind}`,
  };
  const pure = build.fuel.kind === 'petrol';
  const sensitivity = pure
    ? PETROL_SENSITIVITY
    : {
        usual: fuel.researchOctane - fuel.motorOctane,
        spread: Math.hypot(
          octaneSpread.researchOctane,
          octaneSpread.motorOctane,
          PETROL_SENSITIVITY.spread * petrolByMole,
          neat,
        ),
      };
  return octaneFromTyped(build.fuel, sensitivity, usual);
};

const octaneEstimate = (
  build: Build,
  name: 'researchOctane' | 'motorOctane',
  sd: 'researchSd' | 'motorSd',
): Estimate => ({
  group: 'fuel',
  name,
  valueSi: (known) => tankOctane(build, known)[name],
  why: `usual ${build.fuel.kind}`,
  better: (known): Better => {
    const octane = tankOctane(build, known);
    return { valueSi: octane[name], relative: octane[sd] / octane[name], source: octane.source, why: octane.why };
  },
});

/** Share by mass [-] of the petrol (or diesel) in the fuel: the part whose properties vary from one delivery to the next. */
const variableShare = (build: Build, known: Known): number => {
  if (build.fuel.kind === 'diesel' || build.fuel.kind === 'petrol') return 1;
  if (build.fuel.kind === 'methanol') return 0;
  const rest = 1 - known('fuel', 'ethanolContent') - known('fuel', 'methanolContent') - known('fuel', 'tolueneContent');
  return Math.min(1, Math.max(0, rest));
};

/** One standard deviation, relative: of petrol, and of the pure liquids that it may be blended with. House convention on EN 228 limits. */
const SPREAD = {
  lowerHeatingValue: { petrol: 0.01, pure: 0.003 },
  stoichiometricAirFuelRatio: { petrol: 0.01, pure: 0.002 },
  density: { petrol: 0.015, pure: 0.004 },
  latentHeat: { petrol: 0.08, pure: 0.02 },
} as const;

const SI_NAME = {
  lowerHeatingValue: 'lowerHeatingValueJPerKg',
  stoichiometricAirFuelRatio: 'stoichiometricAirFuelRatio',
  density: 'densityKgPerM3',
  latentHeat: 'latentHeatJPerKg',
} as const;

/** Ethanol in petrol of which nobody says: none taken, up to some 10 % within the plus-minus (E5 and E10 of EN 228). */
const UNSAID_ETHANOL_SD = 0.03;

/** Estimates of everything about the fuel: its shares first, then what follows from them. */
export const fuelEstimates = (build: Build): Estimate[] => [
  {
    group: 'fuel',
    name: 'ethanolContent',
    valueSi: () => 0,
    sdSi: build.fuel.kind === 'petrol' ? UNSAID_ETHANOL_SD : 0,
    why: build.fuel.kind === 'petrol' ? 'not said; pump petrol may hold some' : 'none in it',
  },
  {
    group: 'fuel',
    name: 'methanolContent',
    valueSi: () => (build.fuel.kind === 'methanol' ? 1 : 0),
    sdSi: 0,
    why: build.fuel.kind === 'methanol' ? 'all of it' : 'none in it',
  },
  { group: 'fuel', name: 'tolueneContent', valueSi: () => 0, sdSi: 0, why: 'none added' },
  octaneEstimate(build, 'researchOctane', 'researchSd'),
  octaneEstimate(build, 'motorOctane', 'motorSd'),
  ...(Object.keys(SPREAD) as (keyof typeof SPREAD)[]).map(
    (name): Estimate => ({
      group: 'fuel',
      name,
      valueSi: (known) => composed(build, known).fuel[SI_NAME[name]],
      why: `usual ${build.fuel.kind}`,
      better: (known): Better => {
        const share = variableShare(build, known);
        const { petrol, pure } = SPREAD[name];
        return {
          valueSi: composed(build, known).fuel[SI_NAME[name]],
          relative: pure + (petrol - pure) * share,
          source: 'estimate',
          why: isBlend(build.fuel.kind) ? 'from the composition' : `usual ${build.fuel.kind}`,
        };
      },
    }),
  ),
];
