/**
 * Knock: how far the last unburned gas has come towards igniting by itself.
 *
 * The law was fitted to one engine with primary reference fuels; take it as a margin relative to what logs have shown
 * safe, never as a guarantee that an engine does not knock.
 */
import { type Solved, solved, unsolved } from './reason.ts';

const ATMOSPHERE_PA = 101325;

/**
 * Induction time, tau = 17.68 ms (ON/100)^3.402 p^-1.7 exp(3800 K / T), p in atm.
 *
 * @param octaneNumber [-], about 80 to 100 (fitted); higher extrapolates
 * @param pressurePa [Pa]
 * @param temperatureK of the unburned gas [K]
 * @returns [s]
 * Source: Douaud & Eyzat, SAE 780080 (1978); Heywood (1988) eq. 9.61.
 */
export const inductionTimeS = (octaneNumber: number, pressurePa: number, temperatureK: number): number =>
  17.68e-3 * (octaneNumber / 100) ** 3.402 * (pressurePa / ATMOSPHERE_PA) ** -1.7 * Math.exp(3800 / temperatureK);

/**
 * Knock integral over a history of the unburned gas, trapezoidal: the gas ignites when it reaches one.
 *
 * @param octaneNumber [-]
 * @param timesS [s], rising
 * @param pressuresPa [Pa], as many
 * @param temperaturesK [K], as many
 * @returns integral of dt/tau [-]. Reason: `table-malformed`.
 * Source: Livengood & Wu, Fifth Symposium on Combustion (1955) 347.
 */
export const knockIntegral = (
  octaneNumber: number,
  timesS: ArrayLike<number>,
  pressuresPa: ArrayLike<number>,
  temperaturesK: ArrayLike<number>,
): Solved<number> => {
  const n = timesS.length;
  if (pressuresPa.length !== n || temperaturesK.length !== n) {
    return unsolved('table-malformed', 'Times, pressures and temperatures must be equally many.');
  }
  let sum = 0;
  let rateBefore = 0;
  for (let i = 0; i < n; i++) {
    const rate = 1 / inductionTimeS(octaneNumber, pressuresPa[i]!, temperaturesK[i]!);
    if (!Number.isFinite(rate)) return unsolved('table-malformed', `Point ${i + 1} has no induction time.`);
    if (i > 0) {
      const step = timesS[i]! - timesS[i - 1]!;
      if (!(step > 0)) return unsolved('table-malformed', `Time ${i + 1} does not exceed the one before.`);
      sum += ((rate + rateBefore) / 2) * step;
    }
    rateBefore = rate;
  }
  return solved(sum);
};
