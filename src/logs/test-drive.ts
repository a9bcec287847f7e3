/** An invented drive written as a log, for tests: kinematics only (engine speed is road speed times the gear's ratio), so that every edge is known exactly. */

export interface Moment {
  readonly timeS: number;
  readonly rpm: number;
  readonly speedMPerS: number;
  /** 0..1 */
  readonly pedal: number;
  readonly gear: number;
  readonly manifoldPa: number;
}

/** Engine rpm per m/s by gear of the invented car. */
export const TEST_RATIOS = [400, 235, 160, 118, 95];
export const TEST_BAROMETER_PA = 98_000;

/** One leg of the drive: seconds, gear (0: clutch open), pedal, acceleration [m/s2]. */
export interface Leg {
  readonly seconds: number;
  readonly gear: number;
  readonly pedal: number;
  readonly acceleration: number;
}

/** Moments of a drive at `rateHz`, starting at `speedMPerS`. With the clutch open the engine falls to the next leg's speed. */
export const drive = (legs: readonly Leg[], rateHz: number, speedMPerS: number): Moment[] => {
  const out: Moment[] = [];
  let speed = speedMPerS;
  let rpm = 800;
  let timeS = 0;
  legs.forEach(({ seconds, gear, pedal, acceleration }, l) => {
    const steps = Math.round(seconds * rateHz);
    const startRpm = rpm;
    const nextGear = legs[l + 1]?.gear ?? gear;
    for (let k = 0; k < steps; k++) {
      speed = Math.max(0, speed + acceleration / rateHz);
      const wanted =
        gear > 0 ? speed * TEST_RATIOS[gear - 1]! : nextGear > 0 ? speed * TEST_RATIOS[nextGear - 1]! : 800;
      rpm = gear > 0 ? Math.max(800, wanted) : startRpm + ((wanted - startRpm) * (k + 1)) / steps;
      const manifoldPa =
        pedal > 0.9 ? Math.min(210e3, TEST_BAROMETER_PA + 150e3 * Math.min(1, k / rateHz)) : 30e3 + 60e3 * pedal;
      out.push({ timeS, rpm, speedMPerS: speed, pedal, gear, manifoldPa });
      timeS += 1 / rateHz;
    }
  });
  return out;
};

/** The usual test: cruise in second, pull through second and third, coast. Pull from 5.0 s to 12.6 s, shift at 8.2 s for 0.4 s. */
export const TEST_LEGS: readonly Leg[] = [
  { seconds: 5, gear: 2, pedal: 0.2, acceleration: 0 },
  { seconds: 3.2, gear: 2, pedal: 1, acceleration: 4.5 },
  { seconds: 0.4, gear: 0, pedal: 0, acceleration: 0 },
  { seconds: 4, gear: 3, pedal: 1, acceleration: 3 },
  { seconds: 6, gear: 3, pedal: 0, acceleration: -1 },
];

/** A number of columns of a drive as delimited text; `columns` gives each header its cell. */
export const written = (
  moments: readonly Moment[],
  columns: Readonly<Record<string, (moment: Moment, i: number) => string | number>>,
  separator = ',',
): string =>
  [
    Object.keys(columns).join(separator),
    ...moments.map((moment, i) =>
      Object.values(columns)
        .map((cell) => cell(moment, i))
        .join(separator),
    ),
  ].join('\n');

/** The drive as an ordinary metric log. */
export const USUAL_COLUMNS: Readonly<Record<string, (moment: Moment, i: number) => string | number>> = {
  'Time (s)': ({ timeS }) => timeS.toFixed(3),
  'Engine Speed (rpm)': ({ rpm }) => rpm.toFixed(0),
  'Pedal (%)': ({ pedal }) => (pedal * 100).toFixed(1),
  'Vehicle Speed (km/h)': ({ speedMPerS }) => (speedMPerS * 3.6).toFixed(2),
  'MAP (kPa)': ({ manifoldPa }) => (manifoldPa / 1e3).toFixed(1),
};
