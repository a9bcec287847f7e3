/**
 * Species data: NASA seven-term polynomials.
 *
 * Source: GRI-Mech 3.0 thermodynamic data (Smith et al., 1999; public), the `thermo30` file. cp/R = a1 + a2 T + a3 T2 +
 * a4 T3 + a5 T4; h/RT adds a6/T; s/R adds a7. Low set 200 (N2, Ar: 300) to 1000 K, high set 1000 to 3500 K.
 * Fuel vapours: NASA TM-4513 (McBride, Gordon & Reno, 1993; public), 200 to 6000 K; real molecules crack long before that.
 * Atomic masses: IUPAC 2021 abridged.
 */

/** Species of air and burned gas, and the vapours that fuels are made of ({@link VAPOUR_SPECIES}). */
export type Species = 'N2' | 'O2' | 'Ar' | 'CO2' | 'H2O' | 'CO' | 'H2' | VapourSpecies;

/** Vapours: methanol, ethanol, toluene, n-heptane, isooctane (2,2,4-trimethylpentane). */
export type VapourSpecies = 'CH3OH' | 'C2H5OH' | 'C7H8' | 'C7H16' | 'C8H18';

/** Atomic masses [kg/mol]. Source: IUPAC abridged standard atomic weights 2021. */
export const ATOMIC_MASS_KG_PER_MOL = { C: 12.011e-3, H: 1.008e-3, O: 15.999e-3, N: 14.007e-3, Ar: 39.95e-3 } as const;
const A = ATOMIC_MASS_KG_PER_MOL;

/** Molar gas constant [J/(mol K)], exact since 2019. Source: CODATA 2018. */
export const MOLAR_GAS_CONSTANT_J_PER_MOL_K = 8.31446261815324;

/** Data of one species. */
export interface SpeciesData {
  readonly molarMassKgPerMol: number;
  /** a1..a7 below 1000 K. */
  readonly low: readonly number[];
  /** a1..a7 above 1000 K. */
  readonly high: readonly number[];
}

/** The table: molar mass [kg/mol] and coefficients [-, K^-n]. Source: GRI-Mech 3.0; vapours NASA TM-4513. */
export const SPECIES: Readonly<Record<Species, SpeciesData>> = {
  N2: {
    molarMassKgPerMol: 2 * A.N,
    low: [3.298677, 1.4082404e-3, -3.963222e-6, 5.641515e-9, -2.444854e-12, -1020.8999, 3.950372],
    high: [2.92664, 1.4879768e-3, -5.68476e-7, 1.0097038e-10, -6.753351e-15, -922.7977, 5.980528],
  },
  O2: {
    molarMassKgPerMol: 2 * A.O,
    low: [3.78245636, -2.99673416e-3, 9.84730201e-6, -9.68129509e-9, 3.24372837e-12, -1063.94356, 3.65767573],
    high: [3.28253784, 1.48308754e-3, -7.57966669e-7, 2.09470555e-10, -2.16717794e-14, -1088.45772, 5.45323129],
  },
  Ar: {
    molarMassKgPerMol: A.Ar,
    low: [2.5, 0, 0, 0, 0, -745.375, 4.366],
    high: [2.5, 0, 0, 0, 0, -745.375, 4.366],
  },
  CO2: {
    molarMassKgPerMol: A.C + 2 * A.O,
    low: [2.35677352, 8.98459677e-3, -7.12356269e-6, 2.45919022e-9, -1.43699548e-13, -48371.9697, 9.90105222],
    high: [3.85746029, 4.41437026e-3, -2.21481404e-6, 5.23490188e-10, -4.72084164e-14, -48759.166, 2.27163806],
  },
  H2O: {
    molarMassKgPerMol: 2 * A.H + A.O,
    low: [4.19864056, -2.0364341e-3, 6.52040211e-6, -5.48797062e-9, 1.77197817e-12, -30293.7267, -0.849032208],
    high: [3.03399249, 2.17691804e-3, -1.64072518e-7, -9.7041987e-11, 1.68200992e-14, -30004.2971, 4.9667701],
  },
  CO: {
    molarMassKgPerMol: A.C + A.O,
    low: [3.57953347, -6.1035368e-4, 1.01681433e-6, 9.07005884e-10, -9.04424499e-13, -14344.086, 3.50840928],
    high: [2.71518561, 2.06252743e-3, -9.98825771e-7, 2.30053008e-10, -2.03647716e-14, -14151.8724, 7.81868772],
  },
  H2: {
    molarMassKgPerMol: 2 * A.H,
    low: [2.34433112, 7.98052075e-3, -1.9478151e-5, 2.01572094e-8, -7.37611761e-12, -917.935173, 0.683010238],
    high: [3.3372792, -4.94024731e-5, 4.99456778e-7, -1.79566394e-10, 2.00255376e-14, -950.158922, -3.20502331],
  },
  CH3OH: {
    molarMassKgPerMol: A.C + 4 * A.H + A.O,
    low: [5.71539582, -0.0152309129, 6.52441155e-5, -7.10806889e-8, 2.61352698e-11, -25642.7656, -1.50409823],
    high: [3.60134486, 0.0102430954, -3.59985517e-6, 5.72505986e-10, -3.3911764e-14, -25997.191, 4.70512253],
  },
  C2H5OH: {
    molarMassKgPerMol: 2 * A.C + 6 * A.H + A.O,
    low: [4.85868178, -0.0037400674, 6.95550267e-5, -8.86541147e-8, 3.5168443e-11, -29996.1309, 4.80192294],
    high: [6.5628977, 0.0152034264, -5.38922247e-6, 8.62150224e-10, -5.12824683e-14, -31525.7984, -9.47557644],
  },
  C7H8: {
    molarMassKgPerMol: 7 * A.C + 8 * A.H,
    low: [1.611914, 0.0211188902, 8.53221453e-5, -1.32566876e-7, 5.59406109e-11, 4096.51976, 20.2973614],
    high: [12.939475, 0.0266921558, -9.68420108e-6, 1.5739214e-9, -9.46670482e-14, -677.035769, -46.7255302],
  },
  C7H16: {
    molarMassKgPerMol: 7 * A.C + 16 * A.H,
    low: [11.1532484, -0.00949415433, 0.000195571181, -2.4975252e-7, 9.84873213e-11, -26771.1735, -15.909611],
    high: [18.5354704, 0.0391420468, -1.38030268e-5, 2.22403874e-9, -1.3345258e-13, -31950.0783, -70.190284],
  },
  C8H18: {
    molarMassKgPerMol: 8 * A.C + 18 * A.H,
    low: [0.815737338, 0.0732643959, 1.78300688e-5, -6.9358962e-8, 3.21629382e-11, -30477.2862, 24.1509994],
    high: [15.9899273, 0.055318479, -1.95267072e-5, 3.11779172e-9, -1.85312577e-13, -35875.7973, -60.1161414],
  },
};

/** All species, in the order of {@link SPECIES}. Source: the table's keys. */
export const ALL_SPECIES = Object.keys(SPECIES) as readonly Species[];

/** The fuel vapours, in the order of {@link SPECIES}. Source: the table's keys. */
export const VAPOUR_SPECIES: readonly VapourSpecies[] = ['CH3OH', 'C2H5OH', 'C7H8', 'C7H16', 'C8H18'];
