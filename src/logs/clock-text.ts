/** Clock times as text: hh:mm:ss.fff, with or without a date before it. */
import { timeOfDay } from './clock-words.ts';

const SHAPE =
  /^\s*(?:(\d{1,4})([-./])(\d{1,2})[-./](\d{1,4})[ T]+)?(\d{1,3}):(\d{1,2})(?::(\d{1,2}))?(?:[.,:](\d+))?(?: ?([AaPp])[Mm])?(?:Z|[+-]\d\d:?\d\d)?\s*$/;

/** Days from 1970-01-01 of a proleptic Gregorian date; pure arithmetic (H. Hinnant, "chrono-compatible low-level date algorithms", days_from_civil). */
const daysFromCivil = (year: number, month: number, day: number): number => {
  const y = month <= 2 ? year - 1 : year;
  const era = Math.floor(y / 400);
  const yearOfEra = y - era * 400;
  const dayOfYear = Math.floor((153 * (month + (month > 2 ? -3 : 9)) + 2) / 5) + day - 1;
  return era * 146097 + yearOfEra * 365 + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100) + dayOfYear - 719468;
};

/**
 * Seconds of a clock text: of the day when there is no date, since 1970-01-01 when there is one. Two fields with a
 * fraction or an hour field over 23 are minutes and seconds (mm:ss.fff). NaN marks 'no clock time' for the hot loop.
 */
export const clockSeconds = (text: string): number => {
  const match = SHAPE.exec(text);
  if (!match) return Number.NaN;
  const [, first, mark, second, third, hourText, minuteText, secondText, fractionText, half] = match;
  const fraction = fractionText ? Number(`0.${fractionText}`) : 0;
  let hours = Number(hourText);
  const minutes = Number(minuteText);
  if (minutes > 59 || (secondText !== undefined && Number(secondText) > 60)) return Number.NaN;
  if (secondText === undefined && (fractionText !== undefined || hours > 23)) return hours * 60 + minutes + fraction;
  if (half) hours = (hours % 12) + (half.toLowerCase() === 'p' ? 12 : 0);
  const ofDay = hours * 3600 + minutes * 60 + Number(secondText ?? 0) + fraction;
  if (first === undefined || second === undefined || third === undefined) return ofDay;
  // Year first (2031-01-26), else day first with dots or dashes (26.01.2031) and month first with slashes (1/26/2031).
  const [year, month, day] =
    first.length === 4
      ? [Number(first), Number(second), Number(third)]
      : mark === '/' && Number(second) > 12
        ? [Number(third), Number(first), Number(second)]
        : mark === '/' && Number(first) <= 12
          ? [Number(third), Number(first), Number(second)]
          : [Number(third), Number(second), Number(first)];
  if (month < 1 || month > 12 || day < 1 || day > 31) return Number.NaN;
  return daysFromCivil(year < 100 ? year + 2000 : year, month, day) * 86400 + ofDay;
};

/** Date and time of seconds since 1970-01-01, ISO 8601 to the second and without a zone: "2031-05-17T20:05:00" (civil_from_days of the same source). */
export const dateText = (secondsFrom1970: number): string => {
  const second = Math.floor(secondsFrom1970);
  const days = Math.floor(second / 86400) + 719468;
  const era = Math.floor(days / 146097);
  const dayOfEra = days - era * 146097;
  const yearOfEra = Math.floor(
    (dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36524) - Math.floor(dayOfEra / 146096)) / 365,
  );
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const monthFromMarch = Math.floor((5 * dayOfYear + 2) / 153);
  const day = dayOfYear - Math.floor((153 * monthFromMarch + 2) / 5) + 1;
  const month = monthFromMarch + (monthFromMarch < 10 ? 3 : -9);
  const year = yearOfEra + era * 400 + (month <= 2 ? 1 : 0);
  const two = (value: number): string => String(value).padStart(2, '0');
  return `${String(year).padStart(4, '0')}-${two(month)}-${two(day)}T${timeOfDay(second, 0)}`;
};
