/** Two days' powers brought to the same air, and how well the factors are known. */
import { powerCorrection, waterSaturationPressurePa } from '../../physics/index.ts';
import type { Band } from '../types.ts';
import type { Common } from './common.ts';
import { normalBand } from './power-difference.ts';
import type { BasisAir, PullBasis, SameAir } from './types.ts';

/** The standard that is used: the one that road and chassis tests of spark-ignition engines quote most (common practice). */
const STANDARD = 'SAE J1349';

interface Factor {
  readonly factor: number;
  readonly sd: number;
  readonly outsideRange: readonly string[];
  readonly caution: string;
}

const factorAt = (pressurePa: number, temperatureK: number, humidity: number) => {
  const saturation = waterSaturationPressurePa(temperatureK);
  if (!saturation.ok) return null;
  const made = powerCorrection(STANDARD, pressurePa, humidity * saturation.value, temperatureK);
  return made.ok ? made.value : null;
};

/** Factor of a day, its error by moving barometer, temperature and humidity one standard deviation each. */
const factorOf = (air: BasisAir): Factor | null => {
  const { barometricPressurePa: p, ambientTemperatureK: t, relativeHumidity: h } = air;
  const best = factorAt(p, t, h);
  const moved = [
    factorAt(p + air.barometricPressureSdPa, t, h),
    factorAt(p, t + air.ambientTemperatureSdK, h),
    factorAt(p, t, h + air.relativeHumiditySd),
  ];
  if (!best || moved.some((one) => one === null)) return null;
  return {
    factor: best.factor,
    sd: Math.hypot(...moved.map((one) => one!.factor - best.factor)),
    outsideRange: best.outsideRange,
    caution: best.caution,
  };
};

export interface AirFactors {
  readonly sameAir: SameAir;
  readonly firstFactor: number;
  readonly secondFactor: number;
  /** Error of ln(second / first): nought within one log, whose air is the same. */
  readonly logRatioSd: number;
  readonly firstSd: number;
  readonly secondSd: number;
}

const band = ({ factor, sd }: Factor): Band => normalBand(factor, sd);

/**
 * Factors that bring both pulls to the reference air of SAE J1349 (99 kPa dry, 25 degC); null for diesels, whose factor in
 * that standard is another, and where a day's air is none.
 */
export const airFactors = (first: PullBasis, second: PullBasis, common: Common): AirFactors | null => {
  if (first.ignition !== 'spark' || second.ignition !== 'spark') return null;
  const [one, two] = [factorOf(first.air), factorOf(second.air)];
  if (!one || !two) return null;
  return {
    sameAir: {
      standard: STANDARD,
      firstFactor: band(one),
      secondFactor: band(two),
      outsideRange: [...new Set([...one.outsideRange, ...two.outsideRange])],
      caution: one.caution,
    },
    firstFactor: one.factor,
    secondFactor: two.factor,
    logRatioSd: common.sameLog ? 0 : Math.hypot(one.sd / one.factor, two.sd / two.factor),
    firstSd: one.sd / one.factor,
    secondSd: two.sd / two.factor,
  };
};
