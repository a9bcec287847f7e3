/** A new car: the numbers that make a build usable, where each is found, and the sheet that comes of them. */
import { BUILD_SCHEMA, type CompressorMapData, type Source } from '../../src/car/index.ts';
import type { Unit } from '../../src/physics/units.ts';
import type { UnitChoice } from '../state/units.ts';
import { type Applied, applyChanges, type Change, type Changes, type TypedTable, valueAt } from './sheet-draft.ts';
import { CHOICE_PLACES, NUMBER_PLACES, TABLE_PLACES, unitToOffer } from './sheet-fields.ts';
import { typedChoiceOf, typedNumberOf, typedTableOf } from './sheet-typed.ts';

/** One thing asked of somebody who has a car and no sheet yet. */
export interface Asked {
  readonly path: string;
  readonly name: string;
  /** Where a builder finds it. */
  readonly help: string;
  readonly source?: Source;
  /** Not needed for a usable build. */
  readonly optional?: boolean;
  /** Asked only of some fuels. */
  readonly fuels?: readonly string[];
}

export interface AskedPart {
  readonly title: string;
  readonly asked: readonly Asked[];
}

const SPARK = ['petrol', 'ethanol blend', 'blend'] as const;

/** Common practice throughout, no source. */
export const ASKED: readonly AskedPart[] = [
  {
    title: 'Engine',
    asked: [
      {
        path: 'engine.displacement',
        name: 'Displacement',
        help: 'All cylinders together: on the registration papers or in the workshop manual.',
      },
      { path: 'engine.cylinders', name: 'Cylinders', help: 'Count the spark plugs, or the injectors of a diesel.' },
      {
        path: 'engine.compressionRatio',
        name: 'Compression ratio',
        help: 'In the workshop manual; with other pistons or another gasket, the figure of whoever built the engine.',
      },
      {
        path: 'engine.revLimit',
        name: 'Rev limit',
        help: 'Where the engine computer cuts, not where the red on the dial begins.',
      },
    ],
  },
  {
    title: 'Turbocharger',
    asked: [
      {
        path: 'turbocharger.compressorInducer',
        name: 'Compressor wheel, where the air enters',
        help: 'Inlet hose off, engine cold and off: calliper across the small end of the blades.',
        source: 'measured',
      },
      {
        path: 'turbocharger.compressorExducer',
        name: 'Compressor wheel, largest diameter',
        help: 'On the turbocharger’s data sheet, or with a calliper while the housing is off.',
      },
    ],
  },
  {
    title: 'Boost',
    asked: [
      {
        path: 'targets.boost',
        name: 'Boost target',
        help: 'What the engine computer or the boost controller is set to hold today, at full throttle.',
      },
    ],
  },
  {
    title: 'Fuel',
    asked: [
      { path: 'fuel.kind', name: 'Fuel', help: 'What is in the tank; more on the Fuel sheet later.' },
      {
        path: 'fuel.researchOctane',
        name: 'Octane, RON',
        help: 'The figure on the pump in Europe and most of the world.',
        optional: true,
        fuels: SPARK,
      },
      {
        path: 'fuel.antiKnockIndex',
        name: 'Octane, (R+M)/2',
        help: 'The figure on the pump in North America. One of the two octanes is enough.',
        optional: true,
        fuels: SPARK,
      },
      {
        path: 'fuel.ethanolContent',
        name: 'Ethanol in the tank',
        help: 'From the pump’s label, an ethanol sensor, or a water test in a measuring glass.',
        optional: true,
        fuels: ['ethanol blend', 'blend'],
      },
      {
        path: 'fuelSystem.injectorFlow',
        name: 'Flow of one injector',
        help: 'The flow sheet that came with the set, or the part’s data sheet: one injector held open.',
      },
      {
        path: 'fuelSystem.injectorReferencePressure',
        name: 'Pressure at which the injector flows that',
        help: 'Beside the flow on the same sheet; most are rated at 3 bar.',
        optional: true,
      },
      {
        path: 'fuelSystem.pumpFlow',
        name: 'Flow of the fuel pump',
        help: 'The pump’s data sheet, at 13.5 V: with several pumps, all together.',
      },
      {
        path: 'fuelSystem.pumpReferencePressure',
        name: 'Pressure at which the pump flows that',
        help: 'Beside the flow on the same sheet.',
        optional: true,
      },
    ],
  },
  {
    title: 'Car',
    asked: [
      {
        path: 'body.mass',
        name: 'Mass of the car',
        help: 'A public scale, with driver and fuel as driven; else the papers, plus the driver.',
        source: 'measured',
      },
      { path: 'driveline.driven', name: 'Driven wheels', help: 'The axle that the engine turns.' },
      {
        path: 'driveline.gearRatios',
        name: 'Gear ratios, first gear first',
        help: 'The workshop manual, or a list for the code stamped on the gearbox.',
      },
      {
        path: 'driveline.finalDrive',
        name: 'Final drive ratio',
        help: 'The same list, or teeth of the crown wheel over teeth of the pinion.',
      },
      { path: 'tyres.size', name: 'Size of the driven tyres', help: 'On the tyre’s wall, like 225/45R17.' },
    ],
  },
];

const ALL_ASKED = ASKED.flatMap(({ asked }) => asked);

export interface NewCarDraft {
  readonly name: string;
  readonly label: string;
  readonly note: string;
  readonly planned: boolean;
  readonly compressor: 'wheels' | 'map';
  readonly map: { readonly file: string; readonly data: CompressorMapData } | null;
  /** A build sheet brought in from a file: what is asked here is typed over it. */
  readonly base: { readonly file: string; readonly sheet: object } | null;
  readonly fields: Changes;
}

const BOOST_AT_RPM = '3000';

const emptyTable = (path: string, units: readonly string[]): TypedTable => ({
  rows: path === 'targets.boost' ? [[BOOST_AT_RPM, '']] : [['']],
  units,
  source: 'data-sheet',
  spread: '',
  note: '',
});

/** The empty form, in the units of whoever opens it. */
export const emptyFields = (choice: UnitChoice, memory: Readonly<Record<string, string>>): Changes =>
  Object.fromEntries(
    ALL_ASKED.map(({ path, source = 'data-sheet' }): [string, Change] => {
      const number = NUMBER_PLACES.get(path);
      const table = TABLE_PLACES.find((place) => place.path === path);
      if (number) {
        const unit = unitToOffer(path, number.dimension, number.unit, choice, memory);
        return [path, { kind: 'number', typed: { value: '', unit, spread: '', spreadIn: '%', source, note: '' } }];
      }
      if (table) {
        const units = table.isList
          ? []
          : table.columns.map(({ dimensions, unit }, column) =>
              unitToOffer(`${path} ${column}`, dimensions[0] ?? 'ratio', unit, choice, memory),
            );
        return [path, { kind: 'table', typed: emptyTable(path, units) }];
      }
      return [path, { kind: 'choice', typed: '' }];
    }),
  );

export const emptyDraft = (choice: UnitChoice, memory: Readonly<Record<string, string>>): NewCarDraft => ({
  name: '',
  label: 'As it stands',
  note: '',
  planned: false,
  compressor: 'wheels',
  map: null,
  base: null,
  fields: emptyFields(choice, memory),
});

/** A sheet from a file laid under the form: its figures stand in the fields. */
export const withBase = (draft: NewCarDraft, file: string, sheet: object): NewCarDraft => {
  const fields = Object.fromEntries(
    Object.entries(draft.fields).map(([path, change]): [string, Change] => {
      if (valueAt(sheet, path) === undefined) return [path, change];
      const table = TABLE_PLACES.find((place) => place.path === path);
      if (table) {
        const { estimated: _estimated, ...typed } = typedTableOf(sheet, table, null);
        return [path, { kind: 'table', typed }];
      }
      const typed = typedNumberOf(sheet, path);
      if (change.kind === 'number' && typed) return [path, { kind: 'number', typed }];
      return [path, { kind: 'choice', typed: typedChoiceOf(sheet, path) }];
    }),
  );
  const { car, note } = sheet as { car?: string; note?: string };
  const map = valueAt(sheet, 'turbocharger.compressorMap') as CompressorMapData | undefined;
  return {
    ...draft,
    name: draft.name.trim() === '' ? (car ?? '') : draft.name,
    note: draft.note.trim() === '' ? (note ?? '') : draft.note,
    compressor: map ? 'map' : 'wheels',
    map: map ? { file, data: map } : draft.map,
    base: { file, sheet },
    fields,
  };
};

const kindOfFuel = ({ fields }: NewCarDraft): string => {
  const kind = fields['fuel.kind'];
  return kind?.kind === 'choice' ? kind.typed : '';
};

/** Whether a thing is asked, as the form stands. */
export const isAsked = (draft: NewCarDraft, { path, fuels }: Asked): boolean => {
  if (path.startsWith('turbocharger.')) return draft.compressor === 'wheels' || path.endsWith('Exducer');
  const fuel = kindOfFuel(draft);
  return fuels === undefined || (fuel === '' ? fuels.includes('petrol') : fuels.includes(fuel));
};

/** With a map the wheel's largest diameter only sharpens the tip speed. */
export const isOptional = (draft: NewCarDraft, { path, optional }: Asked): boolean =>
  optional === true || (draft.compressor === 'map' && path.startsWith('turbocharger.'));

export const NAME_MOST = 60;

const BLANK = {
  engine: {},
  turbocharger: {},
  chargeCooler: {},
  fuel: {},
  fuelSystem: {},
  driveline: {},
  tyres: {},
  body: {},
  targets: {},
};

/** The sheet of the form, checked; `date` like 2031-04-10. */
export const newCarSheet = (draft: NewCarDraft, date: string): Applied => {
  const base = (draft.base?.sheet ?? BLANK) as Record<string, unknown>;
  const { compressorMap: _map, ...turbocharger } = (base.turbocharger ?? {}) as Record<string, unknown>;
  const name = draft.name.trim();
  const note = draft.note.trim();
  const { note: _note, ...rest } = base;
  const begun = {
    ...rest,
    schema: BUILD_SCHEMA,
    name: `${name || 'New car'}: ${draft.label.trim() || 'as it stands'}`.slice(0, 120),
    ...(name === '' ? {} : { car: name }),
    date,
    ...(note === '' ? {} : { note }),
    turbocharger:
      draft.compressor === 'map' && draft.map ? { ...turbocharger, compressorMap: draft.map.data } : turbocharger,
  };
  const shown = Object.fromEntries(
    ALL_ASKED.flatMap((asked): [string, Change][] => {
      const change = draft.fields[asked.path];
      if (!change) return [];
      return [[asked.path, isAsked(draft, asked) ? change : ({ kind: 'estimate' } as const)]];
    }),
  );
  const applied = applyChanges(begun, shown);
  const own = [
    ...(name === '' ? [{ path: 'name', says: 'missing: type what you call the car' }] : []),
    ...(draft.label.trim() === '' ? [{ path: 'label', says: 'missing: type what this build is called' }] : []),
  ];
  // What the schema says of two places together is said where each is typed, and before the rest is mended.
  const together = [...missingCompressor(draft), ...missingTyre(draft), ...missingBoost(draft)];
  const ofTogether = new Set(['turbocharger', 'tyres', ...together.map(({ path }) => path)]);
  const all = [...own, ...together, ...applied.problems.filter(({ path }) => !ofTogether.has(path))];
  const order = ['name', 'label', ...ALL_ASKED.map(({ path }) => path)];
  const placeOf = (path: string) => (order.includes(path) ? order.indexOf(path) : order.length);
  all.sort((one, other) => placeOf(one.path) - placeOf(other.path));
  return { ...applied, problems: all, build: all.length === 0 ? applied.build : null };
};

const isEmpty = (change: Change | undefined): boolean =>
  (change?.kind === 'number' && change.typed.value.trim() === '') ||
  (change?.kind === 'choice' && change.typed.trim() === '');

const missingCompressor = ({ compressor, map, fields }: NewCarDraft) => {
  if (compressor === 'map') {
    return map ? [] : [{ path: 'turbocharger.compressorMap', says: 'missing: choose a file, or type the wheel sizes' }];
  }
  return ['turbocharger.compressorInducer', 'turbocharger.compressorExducer'].flatMap((path) =>
    isEmpty(fields[path]) ? [{ path, says: 'missing: type a number, or bring a compressor map in' }] : [],
  );
};

const missingTyre = ({ base, fields }: NewCarDraft) =>
  isEmpty(fields['tyres.size']) && valueAt(base?.sheet, 'tyres.rollingRadius') === undefined
    ? [{ path: 'tyres.size', says: 'missing: type a size like 225/45R17' }]
    : [];

/** One figure for all engine speeds is a number to whoever types it, not a row. */
const missingBoost = ({ fields }: NewCarDraft) => {
  const change = fields['targets.boost'];
  const single = change?.kind === 'table' && change.typed.rows.length <= 1;
  return single && (change.typed.rows[0]?.[1] ?? '').trim() === ''
    ? [{ path: 'targets.boost', says: 'missing: type a number' }]
    : [];
};

/** What is asked and answered, for the list beside the form. */
export const progressOf = (
  draft: NewCarDraft,
  problems: Applied['problems'],
): readonly { readonly title: string; readonly done: number; readonly of: number }[] =>
  ASKED.map(({ title, asked }) => {
    const needed = asked.filter((one) => isAsked(draft, one) && !isOptional(draft, one));
    const extra = title === 'Turbocharger' && draft.compressor === 'map' ? 1 : 0;
    const open = needed.filter(({ path }) => problems.some((problem) => problem.path === path)).length;
    return {
      title,
      of: needed.length + extra,
      done: needed.length - open + (extra === 1 && draft.map ? 1 : 0),
    };
  });

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;

/** A draft that was kept, or null where it is none of ours; places that have come since begin empty. */
export const reviveNewCar = (saved: object, empty: NewCarDraft): NewCarDraft | null => {
  const draft = saved as Partial<NewCarDraft>;
  const texts = [draft.name, draft.label, draft.note];
  if (!texts.every((text) => typeof text === 'string') || !isObject(draft.fields)) return null;
  const fields = Object.fromEntries(
    Object.entries(empty.fields).map(([path, change]) => {
      const kept = (draft.fields as Changes)[path];
      return [path, isObject(kept) && kept.kind === change.kind ? kept : change];
    }),
  ) as Changes;
  return { ...empty, ...draft, fields };
};

/** For the boost as one figure: the unit of its column. */
export const boostUnit = (typed: TypedTable): Unit => (typed.units[1] ?? 'kPa gauge') as Unit;

/** Names of the choices asked. */
export const choiceOf = (path: string) => CHOICE_PLACES.find((place) => place.path === path);
