/** What the import of a compressor map asks, and the sheet that comes of it. */
import type { BuildView } from '../../src/app/api.ts';
import type { CompressorMapData } from '../../src/car/index.ts';
import { type MapQuestion, type ReadMapOptions, usualReferences } from '../../src/logs/index.ts';

/** Answers as typed; numbers in the unit that stands beside the field. */
export interface MapAnswers {
  /** Name of a usual reference, 'other', or '' while none is chosen. */
  readonly reference: string;
  readonly temperatureDegC: string;
  readonly pressureKPa: string;
  readonly flowUnit: string;
  readonly speedUnit: string;
  readonly outletMm: string;
  readonly exducerMm: string;
  readonly pressureRatioIs: '' | 'total to total' | 'total to static';
}

export const NO_ANSWERS: MapAnswers = {
  reference: '',
  temperatureDegC: '',
  pressureKPa: '',
  flowUnit: '',
  speedUnit: '',
  outletMm: '',
  exducerMm: '',
  pressureRatioIs: '',
};

export const FLOW_UNITS = ['kg/s', 'g/s', 'kg/h', 'lb/min', 'm3/s', 'm3/min', 'cfm'] as const;
export const SPEED_UNITS = ['rpm', 'krpm', 'rad/s', 'm/s'] as const;

const positive = (text: string): number | undefined => {
  const value = Number(text.trim().replace(',', '.'));
  return text.trim() !== '' && Number.isFinite(value) && value > 0 ? value : undefined;
};

/** Answers as the reader takes them; what is not answered yet stays unsaid. */
export const optionsOf = (answers: MapAnswers): ReadMapOptions => {
  const usual = usualReferences().find(({ name }) => name === answers.reference);
  const celsius = Number(answers.temperatureDegC.trim().replace(',', '.'));
  const other = answers.reference === 'other';
  const pressureKPa = positive(answers.pressureKPa);
  const outletMm = positive(answers.outletMm);
  const exducerMm = positive(answers.exducerMm);
  return {
    referenceTemperatureK:
      usual?.temperatureK ??
      (other && answers.temperatureDegC.trim() !== '' && Number.isFinite(celsius) ? celsius + 273.15 : undefined),
    referencePressurePa: usual?.pressurePa ?? (other && pressureKPa !== undefined ? pressureKPa * 1000 : undefined),
    flowUnit: answers.flowUnit === '' ? undefined : answers.flowUnit,
    speedUnit: answers.speedUnit === '' ? undefined : answers.speedUnit,
    outletDiameterM: outletMm === undefined ? undefined : outletMm / 1000,
    exducerM: exducerMm === undefined ? undefined : exducerMm / 1000,
    pressureRatioIs: answers.pressureRatioIs === '' ? undefined : answers.pressureRatioIs,
  };
};

/** What has been asked so far stays on the page while it is answered. */
export const askedWith = (asked: ReadonlySet<MapQuestion>, more: readonly MapQuestion[]): ReadonlySet<MapQuestion> =>
  more.every((question) => asked.has(question)) ? asked : new Set([...asked, ...more]);

/** The shown build's sheet with another compressor map. */
export const sheetWithMap = ({ sheet }: BuildView, map: CompressorMapData, note: string): BuildView['sheet'] => ({
  ...sheet,
  turbocharger: { ...sheet.turbocharger, compressorMap: { ...map, note } },
});
