/** A compressor map from a file: read, checked, fitted, and made ready for the build sheet. */
import { type CompressorMapData, compressorMapSchema } from '../../car/index.ts';
import { fittedCompressorMap, MAP_REFERENCES, type MapFit, totalFromStaticOutlet } from '../../physics/index.ts';
import { type Point, SAME_SPEED, speedLines, toMassFlow, toShaftSpeed } from './map-lines.ts';
import { type MapNote, mapNotes } from './map-notes.ts';
import { readMapText } from './map-text.ts';
import { celsiusText, flowUnitOf, type SpeedUnit, speedUnitOf } from './map-units.ts';

/** What the file leaves out or says wrongly; each counts over the file. */
export interface ReadMapOptions {
  readonly referenceTemperatureK?: number | undefined;
  readonly referencePressurePa?: number | undefined;
  readonly pressureRatioIs?: 'total to total' | 'total to static' | undefined;
  /** Of the outlet pipe, for pressure ratios to static pressure. */
  readonly outletDiameterM?: number | undefined;
  /** Largest diameter of the wheel, for speeds given as tip speed. */
  readonly exducerM?: number | undefined;
  readonly flowUnit?: string | undefined;
  readonly speedUnit?: string | undefined;
  readonly source?: CompressorMapData['source'] | undefined;
}

/** What is asked for before the map can be read. */
export type MapQuestion =
  | 'reference temperature'
  | 'reference pressure'
  | 'flow unit'
  | 'speed unit'
  | 'outlet diameter'
  | 'exducer';

export type MapRefusalCode =
  | 'empty-file'
  | 'not-text'
  | 'no-table'
  | 'missing-column'
  | 'asks'
  | 'too-few-lines'
  | 'beyond-sense';

/** A map read and fitted. */
export interface MapRead {
  readonly ok: true;
  /** Total to total, kg/s: what goes into the build sheet. */
  readonly map: CompressorMapData;
  readonly fit: MapFit;
  /** Line of the file of each point, by line and point of `map`. */
  readonly fileLines: readonly (readonly number[])[];
  readonly rowsRead: number;
  /** How the file says it: units, reference, kind of pressure ratio. */
  readonly said: {
    readonly flowUnit: string;
    readonly speedUnit: string;
    readonly pressureRatioIs: 'total to total' | 'total to static' | 'not said';
    readonly referenceFrom: 'file' | 'asked' | 'not needed';
  };
  /** What was refused, doubted or taken for granted, with the line where there is one; in the order of the file. */
  readonly notes: readonly MapNote[];
}

export type MapReadResult =
  | MapRead
  | {
      readonly ok: false;
      readonly code: MapRefusalCode;
      readonly says: string;
      /** With code 'asks': what to say. */
      readonly asks: readonly MapQuestion[];
      readonly notes: readonly MapNote[];
    };

const LINES_MOST = 40;

/** The reference states usual on maps, for a person to choose from; none is ever taken without being asked for. */
export const usualReferences = (): {
  readonly name: string;
  readonly temperatureK: number;
  readonly pressurePa: number;
}[] =>
  Object.entries(MAP_REFERENCES).map(([name, { temperatureK, pressurePa }]) => ({ name, temperatureK, pressurePa }));

const usualText = (): string =>
  usualReferences()
    .map(({ name, temperatureK, pressurePa }) =>
      name.includes('degC') ? name : `${name} (${celsiusText(temperatureK)}, ${(pressurePa / 1000).toFixed(2)} kPa)`,
    )
    .join('; ');

const refuse = (
  code: MapRefusalCode,
  says: string,
  notes: readonly MapNote[] = [],
  asks: readonly MapQuestion[] = [],
): MapReadResult => ({ ok: false, code, says, asks, notes });

/**
 * Reads a map file and fits it. Refuses with a code and a sentence; code 'asks' names what the file does not say and
 * nobody has said: nothing that changes the numbers is taken for granted. What was wrong with a single row is a note.
 */
export const readCompressorMap = (bytes: Uint8Array, options: ReadMapOptions = {}): MapReadResult => {
  const read = readMapText(bytes);
  if (!read.ok) return refuse(read.code, read.says);
  const { rows, headers, sayings, refused } = read.text;
  const notes: MapNote[] = refused.map(({ line, says }) => ({ line, kind: 'refused', says }));
  const asks: MapQuestion[] = [];
  const why: string[] = [];
  const ask = (question: MapQuestion, says: string) => {
    asks.push(question);
    why.push(says);
  };

  // Units.
  const flowText = options.flowUnit ?? headers.get('flow')?.unitText ?? '';
  const flowUnit = flowUnitOf(flowText);
  if (!flowUnit) {
    ask(
      'flow unit',
      flowText === ''
        ? 'in which unit the flow is (kg/s, g/s, kg/h, lb/min, m3/s, m3/min, cfm)'
        : `in which unit the flow is: "${flowText}" is none that is known (kg/s, g/s, kg/h, lb/min, m3/s, m3/min, cfm)`,
    );
  }
  const speeds = rows.map(({ speed }) => speed ?? 0);
  const speedText = options.speedUnit ?? headers.get('speed')?.unitText ?? '';
  let speedUnit: SpeedUnit | null = speedUnitOf(speedText);
  if (
    !speedUnit &&
    speedText === '' &&
    speeds.length > 0 &&
    speeds.every((speed) => speed >= 5000 && speed <= 400000)
  ) {
    // No shaft turns so that these numbers could be anything but revolutions per minute.
    speedUnit = { kind: 'shaft', text: 'rpm', rpm: 1 };
  }
  if (!speedUnit) ask('speed unit', 'in which unit the shaft speed is (rpm, krpm, rad/s, or m/s of the wheel tip)');
  const exducerM = options.exducerM ?? sayings.exducerM;
  if (speedUnit?.kind === 'tip' && exducerM === undefined) {
    ask('exducer', 'the largest diameter of the compressor wheel, since the speeds are tip speeds');
  }

  // Reference air: said by the file or by the person, never guessed; maps in flow parameters need none.
  const free = flowUnit?.kind === 'parameter' && speedUnit?.kind === 'parameter';
  const usual = MAP_REFERENCES['25 degC, 100 kPa'];
  const referenceTemperatureK =
    options.referenceTemperatureK ?? sayings.referenceTemperatureK ?? (free ? usual.temperatureK : undefined);
  const referencePressurePa =
    options.referencePressurePa ?? sayings.referencePressurePa ?? (free ? usual.pressurePa : undefined);
  const referenceFrom: MapRead['said']['referenceFrom'] =
    options.referenceTemperatureK !== undefined || options.referencePressurePa !== undefined
      ? 'asked'
      : sayings.referenceTemperatureK !== undefined
        ? 'file'
        : 'not needed';
  if (referenceTemperatureK === undefined)
    ask('reference temperature', 'the temperature to which flow and speed are corrected');
  if (referencePressurePa === undefined) ask('reference pressure', 'the pressure to which the flow is corrected');

  const basis = options.pressureRatioIs ?? sayings.pressureRatioIs;
  const outletDiameterM = options.outletDiameterM ?? sayings.outletDiameterM;
  if (basis === 'total to static' && outletDiameterM === undefined) {
    ask('outlet diameter', 'the inner diameter of the outlet, since the pressure ratios are to static pressure');
  }
  if (
    asks.length > 0 ||
    !flowUnit ||
    !speedUnit ||
    referenceTemperatureK === undefined ||
    referencePressurePa === undefined
  ) {
    const references = asks.some((question) => question.startsWith('reference'))
      ? ` Usual reference states: ${usualText()}; the sheet of the map says which.`
      : '';
    return refuse(
      'asks',
      `The file does not say ${why.join(', nor ')}. Say it, or write it into the file.${references}`,
      notes,
      asks,
    );
  }
  const reference = { temperatureK: referenceTemperatureK, pressurePa: referencePressurePa };
  if (
    !(
      referenceTemperatureK >= 250 &&
      referenceTemperatureK <= 330 &&
      referencePressurePa >= 80e3 &&
      referencePressurePa <= 110e3
    )
  ) {
    return refuse(
      'beyond-sense',
      `A reference of ${celsiusText(referenceTemperatureK)} and ${(referencePressurePa / 1000).toFixed(1)} kPa is none that maps are corrected to (-23 to 57 degC, 80 to 110 kPa absolute); check the units.`,
      notes,
    );
  }

  // Efficiency in shares.
  const efficiencyText = headers.get('efficiency')?.unitText ?? '';
  const given = rows.map(({ efficiency }) => efficiency).filter(Number.isFinite);
  const percent =
    /%|percent|pct/i.test(efficiencyText) || given.filter((value) => value > 1.5).length > 0.5 * given.length;

  const points: Point[] = [];
  const flowKgPerS = toMassFlow(flowUnit, reference);
  const toRpm = toShaftSpeed(speedUnit, reference, exducerM);
  for (const row of rows) {
    const skip = (says: string) => notes.push({ line: row.line, kind: 'refused', says });
    const speedRpm = toRpm(row.speed ?? 0);
    const flow = flowKgPerS(row.flow);
    const written = percent ? row.efficiency / 100 : row.efficiency;
    if (!(speedRpm >= 5000 && speedRpm <= 400000)) {
      skip(`shaft speed ${Math.round(speedRpm)} rpm is none of a turbocharger (5 000 to 400 000 rpm)`);
    } else if (!(flow >= 0 && flow < 10)) {
      skip(`flow ${row.flow} ${flowUnit.text} is out of range`);
    } else if (!(row.pressureRatio >= 0.8 && row.pressureRatio <= 8)) {
      skip(`pressure ratio ${row.pressureRatio} is out of range (0.8 to 8)`);
    } else if (Number.isFinite(written) && !(written >= 0.05 && written <= 0.95)) {
      skip(`efficiency ${row.efficiency}${percent ? ' %' : ''} is out of range (5 to 95 %)`);
    } else {
      const own = { row, speedRpm, flow, pressureRatio: row.pressureRatio, efficiency: written };
      if (
        basis !== 'total to static' ||
        outletDiameterM === undefined ||
        row.pressureRatio <= 1 ||
        !Number.isFinite(written)
      ) {
        points.push(own);
        continue;
      }
      const total = totalFromStaticOutlet(flow, row.pressureRatio, written, outletDiameterM, reference);
      if (total.ok) {
        points.push({
          ...own,
          pressureRatio: total.value.pressureRatio,
          efficiency: Math.min(0.95, total.value.efficiency),
        });
      } else skip(total.reason.says);
    }
  }

  const kept = speedLines(points, notes);
  if (kept.length < 2 || kept.length > LINES_MOST) {
    return refuse(
      'too-few-lines',
      kept.length < 2
        ? `The file holds ${kept.length === 0 ? 'no usable speed line' : 'one usable speed line'}; a map needs two or more, each with three points or more.`
        : `The file holds ${kept.length} speed lines where at most ${LINES_MOST} are taken; the shaft speeds of one line may differ by up to ${100 * SAME_SPEED} %.`,
      notes,
    );
  }
  const digits = (value: number): number => Number(value.toPrecision(5));
  const sorted = kept.map((line) => ({ ...line, points: [...line.points].sort((a, b) => a.flow - b.flow) }));
  const data: CompressorMapData = {
    referenceTemperatureK: digits(referenceTemperatureK),
    referencePressurePa: digits(referencePressurePa),
    flowUnit: 'kg/s',
    pressureRatioIs: 'total to total',
    source: options.source ?? 'data-sheet',
    lines: sorted.map((line) => ({
      shaftSpeedRpm: line.speedRpm,
      ...(line.surge === undefined ? {} : { surgeFlow: digits(line.surge) }),
      ...(line.choke === undefined ? {} : { chokeFlow: digits(line.choke) }),
      points: line.points.map(({ flow, pressureRatio, efficiency }): [number, number, number] => [
        digits(flow),
        digits(pressureRatio),
        digits(efficiency),
      ]),
    })),
  };
  const checked = compressorMapSchema.safeParse(data);
  if (!checked.success) {
    const first = checked.error.issues[0];
    return refuse(
      'beyond-sense',
      `The map cannot be used: ${first ? `${first.path.join('.')}: ${first.message}` : 'see its numbers'}.`,
      notes,
    );
  }
  const map = checked.data;
  const { fit } = fittedCompressorMap(map);
  const fileLines = sorted.map((line) => line.points.map(({ row }) => row.line));
  notes.push(
    ...mapNotes({
      map,
      fit,
      fileLines,
      inFileOrder: kept.map(({ points: own }) => own),
      basis: basis ?? null,
      marked: sorted.map(({ surge }) => surge !== undefined),
      percent,
      efficiencySaid: efficiencyText !== '',
    }),
  );
  return {
    ok: true,
    map,
    fit,
    fileLines,
    rowsRead: rows.length,
    said: {
      flowUnit: flowUnit.text,
      speedUnit: speedUnit.text,
      pressureRatioIs: basis ?? 'not said',
      referenceFrom,
    },
    notes: notes.sort((a, b) => (a.line ?? Number.POSITIVE_INFINITY) - (b.line ?? Number.POSITIVE_INFINITY)),
  };
};
