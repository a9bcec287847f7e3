/**
 * Slider-crank geometry without pin offset: piston travel, speed, volume, compression ratio.
 *
 * Crank angles are degrees after top dead centre. Source: Heywood, Internal Combustion Engine Fundamentals (1988), ch. 2.
 */
import { circleAreaM2 } from './nozzle.ts';

const RADIANS_PER_DEG = Math.PI / 180;

/**
 * Piston travel from top dead centre, x = a (1 - cos) + l - sqrt(l2 - a2 sin2).
 *
 * @param crankRadiusM half of the stroke [m]
 * @param rodLengthM between centres [m], longer than the crank radius
 * @param crankAngleDeg [deg]
 * @returns [m]
 * Source: Heywood (1988) eq. 2.5.
 */
export const pistonTravelM = (crankRadiusM: number, rodLengthM: number, crankAngleDeg: number): number => {
  const angle = crankAngleDeg * RADIANS_PER_DEG;
  const side = crankRadiusM * Math.sin(angle);
  // l - sqrt(l2 - s2) written without the difference of near-equal numbers.
  const rodLean = (side * side) / (rodLengthM + Math.sqrt(rodLengthM * rodLengthM - side * side));
  const half = Math.sin(angle / 2);
  return 2 * crankRadiusM * half * half + rodLean;
};

/**
 * Piston speed over mean piston speed, (pi/2) sin (1 + cos / sqrt((l/a)2 - sin2)) [-].
 *
 * @param rodToCrank l/a [-], above 1
 * @param crankAngleDeg [deg]
 * @returns [-], negative on the way up
 * Source: Heywood (1988) eq. 2.11.
 */
export const pistonSpeedRatio = (rodToCrank: number, crankAngleDeg: number): number => {
  const angle = crankAngleDeg * RADIANS_PER_DEG;
  const sine = Math.sin(angle);
  return (Math.PI / 2) * sine * (1 + Math.cos(angle) / Math.sqrt(rodToCrank * rodToCrank - sine * sine));
};

/** Mean piston speed [m/s], 2 S N, from stroke [m] and engine speed [rpm]. Source: Heywood (1988) eq. 2.9. */
export const meanPistonSpeedMPerS = (strokeM: number, engineSpeedRpm: number): number =>
  (2 * strokeM * engineSpeedRpm) / 60;

/** Swept volume [m3] from bore [m], stroke [m] and number of cylinders. Definition. */
export const displacementM3 = (boreM: number, strokeM: number, cylinders = 1): number =>
  circleAreaM2(boreM) * strokeM * cylinders;

/** Clearance volume [m3] of one cylinder from its swept volume [m3] and compression ratio above 1 [-]. Definition. */
export const clearanceVolumeM3 = (sweptVolumeM3: number, compressionRatio: number): number =>
  sweptVolumeM3 / (compressionRatio - 1);

/** Bore [m] of an engine whose stroke is `strokeToBore` times its bore, from displacement [m3] and cylinders. Definition. */
export const boreFromDisplacementM = (totalDisplacementM3: number, cylinders: number, strokeToBore = 1): number =>
  Math.cbrt((4 * totalDisplacementM3) / (Math.PI * cylinders * strokeToBore));

/** What encloses the charge at top dead centre. */
export interface ClearanceParts {
  readonly boreM: number;
  readonly strokeM: number;
  /** Chamber in the head [m3]. */
  readonly chamberVolumeM3: number;
  /** Bowl in the piston [m3]; negative for a dome. */
  readonly pistonDishVolumeM3: number;
  readonly gasketBoreM: number;
  readonly gasketThicknessM: number;
  /** Deck over piston at top dead centre [m]; negative when the piston stands proud. */
  readonly deckHeightM: number;
}

/** Clearance volume [m3] added up from the parts that enclose it. Definition. */
export const clearanceFromPartsM3 = (parts: ClearanceParts): number =>
  parts.chamberVolumeM3 +
  parts.pistonDishVolumeM3 +
  circleAreaM2(parts.gasketBoreM) * parts.gasketThicknessM +
  circleAreaM2(parts.boreM) * parts.deckHeightM;

/** Compression ratio [-], (Vd + Vc) / Vc, from swept and clearance volume of a cylinder [m3], both above 0. Definition. */
export const compressionRatioOf = (sweptVolumeM3: number, clearanceM3: number): number =>
  (sweptVolumeM3 + clearanceM3) / clearanceM3;

/** Geometry of one cylinder, ready for the volume at any crank angle. */
export interface CylinderGeometry {
  readonly boreM: number;
  readonly strokeM: number;
  readonly rodLengthM: number;
  readonly compressionRatio: number;
}

/**
 * Cylinder volume [m3] at a crank angle [deg after top dead centre].
 * Source: Heywood (1988) eq. 2.4 to 2.6.
 */
export const cylinderVolumeM3 = (geometry: CylinderGeometry, crankAngleDeg: number): number => {
  const area = circleAreaM2(geometry.boreM);
  return (
    (area * geometry.strokeM) / (geometry.compressionRatio - 1) +
    area * pistonTravelM(geometry.strokeM / 2, geometry.rodLengthM, crankAngleDeg)
  );
};

/**
 * Change of cylinder volume with crank angle [m3/deg] at a crank angle [deg after top dead centre].
 * Source: derivative of Heywood (1988) eq. 2.4 to 2.6.
 */
export const cylinderVolumeSlopeM3PerDeg = (geometry: CylinderGeometry, crankAngleDeg: number): number =>
  (circleAreaM2(geometry.boreM) *
    geometry.strokeM *
    pistonSpeedRatio((2 * geometry.rodLengthM) / geometry.strokeM, crankAngleDeg)) /
  180;

/**
 * Surface that the gas wets [m2] at a crank angle [deg]: head (taken `headAreaRatio` times the bore's area [-]), crown
 * and liner. Source: Heywood (1988) eq. 2.7 and 2.8.
 */
export const cylinderSurfaceM2 = (geometry: CylinderGeometry, crankAngleDeg: number, headAreaRatio = 1.2): number =>
  circleAreaM2(geometry.boreM) * (1 + headAreaRatio) +
  Math.PI *
    geometry.boreM *
    (pistonTravelM(geometry.strokeM / 2, geometry.rodLengthM, crankAngleDeg) +
      geometry.strokeM / (geometry.compressionRatio - 1));
