/**
 * Species of very hot burned gas that the laws' room does not carry, in the same NASA seven-term form.
 *
 * Source: GRI-Mech 3.0 thermodynamic data (Smith et al., 1999; public). Low set to 1000 K, high set 1000 to 3500 K.
 */
import { ATOMIC_MASS_KG_PER_MOL as A, SPECIES, type SpeciesData } from '../physics/index.ts';

/** Species of the equilibrium, in the order in which its arrays hold them. Source: Heywood (1988) sect. 3.7.1. */
export const HOT_SPECIES = ['CO2', 'CO', 'H2O', 'H2', 'O2', 'N2', 'Ar', 'OH', 'H', 'O', 'NO'] as const;

/** One of {@link HOT_SPECIES}. */
export type HotSpecies = (typeof HOT_SPECIES)[number];

const RADICALS: Readonly<Record<'OH' | 'H' | 'O' | 'NO', SpeciesData>> = {
  OH: {
    molarMassKgPerMol: A.O + A.H,
    low: [3.99201543, -2.40131752e-3, 4.61793841e-6, -3.88113333e-9, 1.3641147e-12, 3615.08056, -0.103925458],
    high: [3.09288767, 5.48429716e-4, 1.26505228e-7, -8.79461556e-11, 1.17412376e-14, 3858.657, 4.4766961],
  },
  H: {
    molarMassKgPerMol: A.H,
    low: [2.5, 0, 0, 0, 0, 25473.6599, -0.446682853],
    high: [2.5, 0, 0, 0, 0, 25473.6599, -0.446682914],
  },
  O: {
    molarMassKgPerMol: A.O,
    low: [3.1682671, -3.27931884e-3, 6.64306396e-6, -6.12806624e-9, 2.11265971e-12, 29122.2592, 2.05193346],
    high: [2.56942078, -8.59741137e-5, 4.19484589e-8, -1.00177799e-11, 1.22833691e-15, 29217.5791, 4.78433864],
  },
  NO: {
    molarMassKgPerMol: A.N + A.O,
    low: [4.2184763, -4.638976e-3, 1.1041022e-5, -9.3361354e-9, 2.803577e-12, 9844.623, 2.2808464],
    high: [3.2606056, 1.1911043e-3, -4.2917048e-7, 6.9457669e-11, -4.0336099e-15, 9920.9746, 6.3693027],
  },
};

const dataOf = (species: HotSpecies): SpeciesData =>
  species in RADICALS ? RADICALS[species as keyof typeof RADICALS] : SPECIES[species as keyof typeof SPECIES];

const LOW = HOT_SPECIES.map((species) => Float64Array.from(dataOf(species).low));
const HIGH = HOT_SPECIES.map((species) => Float64Array.from(dataOf(species).high));

/** Molar masses [kg/mol] in the order of {@link HOT_SPECIES}. Source: IUPAC 2021 abridged atomic weights. */
export const HOT_MOLAR_MASSES = Float64Array.from(HOT_SPECIES, (species) => dataOf(species).molarMassKgPerMol);

/** Enthalpy over R T [-] of species `index` at a temperature [K], heat of formation included. Source: NASA seven-term form. */
export const enthalpyOverRT = (index: number, temperatureK: number): number => {
  const t = temperatureK;
  const a = (t < 1000 ? LOW : HIGH)[index]!;
  return a[0]! + t * (a[1]! / 2 + t * (a[2]! / 3 + t * (a[3]! / 4 + (t * a[4]!) / 5))) + a[5]! / t;
};

/** Gibbs energy at 1 atm over R T [-] of species `index` at a temperature [K]. Source: NASA seven-term form, g = h - T s. */
export const gibbsOverRT = (index: number, temperatureK: number): number => {
  const t = temperatureK;
  const a = (t < 1000 ? LOW : HIGH)[index]!;
  const entropy = a[0]! * Math.log(t) + t * (a[1]! + t * (a[2]! / 2 + t * (a[3]! / 3 + (t * a[4]!) / 4))) + a[6]!;
  return enthalpyOverRT(index, t) - entropy;
};
