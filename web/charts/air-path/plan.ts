/**
 * What stands where on the plan of the car, worked out from the car's facts: nose left, air from the filter round to the
 * tyres. Parts the car does not have get no place.
 */
import type { IconName } from '../icons.ts';

export type Medium = 'air' | 'hot' | 'fuel' | 'wet' | 'none';

/** The facts about a car that change its drawing. */
export interface CarShape {
  readonly cylinders: number;
  readonly layout: 'inline' | 'vee' | 'flat';
  readonly driven: 'front' | 'rear' | 'all';
  readonly throttled: boolean;
  readonly injection: boolean;
  readonly airflowMeter: boolean;
  readonly pressureSensor: boolean;
  readonly boostGauge: boolean;
  readonly wideband: boolean;
}

export interface PartPlace {
  readonly id: string;
  readonly name: string;
  readonly icon: IconName;
  readonly medium: Medium;
  /** Rows of the ledger that this part stands for. */
  readonly ledger: (row: string) => boolean;
  /** Where its balloon stands, or null: drawn without a name. */
  readonly label: readonly [x: number, y: number] | null;
  /** Label to the right of the name on one line, for tight places. */
  readonly oneLine?: boolean;
  readonly leader?: string;
}

export interface StationPlace {
  readonly id: StationId;
  readonly title: string;
  readonly medium: Medium;
  readonly x: number;
  readonly y: number;
  readonly leader?: string;
  readonly tap?: readonly [x: number, y: number];
  /** More room between value and plus-minus, for long units. */
  readonly wider?: number;
  /** The part it follows along the flow. */
  readonly after: string;
}
export type StationId =
  | 'before-compressor'
  | 'after-compressor'
  | 'across-cooler'
  | 'manifold'
  | 'fuel-rail'
  | 'cylinders'
  | 'before-turbine'
  | 'after-turbine';

export interface EnginePlace {
  readonly bores: readonly { readonly x: number; readonly y: number; readonly r: number; readonly bank: 0 | 1 }[];
  readonly pitch: number;
}

export interface DrivelinePlace {
  /** Middles of the driven axles, nose first. */
  readonly axles: readonly number[];
  readonly tankX: number;
}

export interface AirPathPlan {
  readonly car: CarShape;
  readonly engine: EnginePlace;
  readonly driveline: DrivelinePlace;
  readonly parts: readonly PartPlace[];
  readonly stations: readonly StationPlace[];
  /** Where it stands which part gives out first. */
  readonly firstOut: readonly [x: number, y: number];
}

/** Size of the drawing [px at scale 1]. */
export const PLAN_WIDTH = 1412;
export const PLAN_HEIGHT = 562;
export const BLOCK = { left: 604, right: 868, top: 206, bottom: 322, middle: 264 } as const;
export const STATION_WIDTH = 172;

const is =
  (...rows: string[]) =>
  (row: string) =>
    rows.includes(row);
const none = () => false;

const enginePlace = (car: CarShape): EnginePlace => {
  const middle = (BLOCK.left + BLOCK.right) / 2;
  if (car.layout === 'inline') {
    const pitch = Math.min(64, 256 / car.cylinders);
    const r = Math.min(27, pitch * 0.43);
    return {
      pitch,
      bores: Array.from({ length: car.cylinders }, (_, i) => ({
        x: middle + (i - (car.cylinders - 1) / 2) * pitch,
        y: BLOCK.middle,
        r,
        bank: 1 as const,
      })),
    };
  }
  const perBank = Math.ceil(car.cylinders / 2);
  const pitch = Math.min(62, 248 / (perBank + 0.5));
  const r = Math.min(23, pitch * 0.4);
  const reach = car.layout === 'flat' ? 30 : 26;
  return {
    pitch: pitch / 2,
    bores: Array.from({ length: car.cylinders }, (_, i) => {
      const bank = (i % 2) as 0 | 1;
      const along = Math.floor(i / 2) - (perBank - 1) / 2 + (bank === 0 ? -0.25 : 0.25);
      return { x: middle + along * pitch, y: BLOCK.middle + (bank === 0 ? -reach : reach), r, bank };
    }),
  };
};

const drivelinePlace = (car: CarShape): DrivelinePlace => {
  switch (car.driven) {
    case 'front':
      return { axles: [1098], tankX: 1222 };
    case 'all':
      return { axles: [1098, 1362], tankX: 1166 };
    default:
      return { axles: [1178], tankX: 972 };
  }
};

const drivelineParts = (car: CarShape): PartPlace[] => {
  const rear = car.driven === 'rear';
  return [
    {
      id: 'clutch',
      name: 'Clutch',
      icon: 'clutch',
      medium: 'none',
      ledger: is('clutch'),
      label: [898, 335],
      leader: 'M892 310V326',
    },
    {
      id: 'gearbox',
      name: 'Gearbox',
      icon: 'gearbox',
      medium: 'none',
      ledger: is('gearbox'),
      label: rear ? [948, 195] : [898, 195],
      leader: rear ? 'M968 212V230' : 'M950 212V230',
    },
    {
      id: 'final-drive',
      name: 'Final drive',
      icon: 'finalDrive',
      medium: 'none',
      ledger: none,
      label: rear ? [1222, 250] : null,
      leader: 'M1204 254H1212',
    },
    {
      id: 'tyres',
      name: car.driven === 'front' ? 'Front tyres' : car.driven === 'rear' ? 'Rear tyres' : 'Tyres',
      icon: 'tyre',
      medium: 'none',
      ledger: (row: string) => row.startsWith('tyres'),
      label: rear ? [1246, 58] : [1164, 412],
      leader: rear ? 'M1221 58H1234' : 'M1141 412H1152',
    },
  ];
};

/** Places everything the car has. */
export const planOf = (car: CarShape): AirPathPlan => {
  const driveline = drivelinePlace(car);
  const engine = enginePlace(car);
  const pumpX = driveline.tankX;
  const sensed = car.pressureSensor || car.boostGauge;
  const parts: (PartPlace | false)[] = [
    {
      id: 'filter',
      name: 'Air filter',
      icon: 'filter',
      medium: 'air',
      ledger: none,
      label: [130, 407],
      leader: 'M184 410L198 420',
    },
    car.airflowMeter && {
      id: 'meter',
      name: 'Airflow meter',
      icon: 'meter',
      medium: 'air',
      ledger: is('airflow meter'),
      label: [204, 533],
      leader: 'M272 464V480L212 524',
    },
    {
      id: 'compressor',
      name: 'Compressor',
      icon: 'compressor',
      medium: 'air',
      ledger: is('compressor surge', 'compressor choke', 'shaft speed', 'compressor outlet temperature'),
      label: [134, 371],
      leader: 'M296 396L320 424',
    },
    {
      id: 'cooler',
      name: 'Charge cooler',
      icon: 'cooler',
      medium: 'air',
      ledger: is('charge temperature'),
      label: [136, 197],
      leader: 'M124 197H101',
    },
    car.injection && {
      id: 'injection',
      name: 'Water-methanol',
      icon: 'nozzle',
      medium: 'wet',
      ledger: is('water-methanol flow'),
      label: [306, 39],
    },
    car.throttled && {
      id: 'throttle',
      name: 'Throttle',
      icon: 'throttle',
      medium: 'air',
      ledger: none,
      label: sensed ? null : [418, 151],
      leader: 'M498 146H552L578 129',
    },
    sensed && {
      id: 'sensor',
      name: car.pressureSensor ? 'Pressure sensor' : 'Boost gauge',
      icon: 'gauge',
      medium: 'air',
      ledger: is('manifold pressure sensor', 'boost gauge'),
      label: [418, 151],
      leader: 'M546 146H610',
    },
    {
      id: 'injectors',
      name: 'Injectors',
      icon: 'injector',
      medium: 'fuel',
      ledger: is('injectors', 'injectors at idle'),
      label: [418, 198],
      leader: 'M504 192H580L614 174',
    },
    {
      id: 'pump',
      name: 'Fuel pump',
      icon: 'pump',
      medium: 'fuel',
      ledger: is('fuel pump'),
      label: [pumpX - 10, 33],
      leader: `M${pumpX + 38} 70V112`,
    },
    {
      id: 'pistons',
      name: 'Pistons and rods',
      icon: 'piston',
      medium: 'none',
      ledger: is('piston speed', 'peak cylinder pressure', 'knock'),
      label: [418, 245],
      leader: 'M554 239H584L603 246',
    },
    {
      id: 'exhaust-manifold',
      name: 'Exhaust manifold',
      icon: 'manifold',
      medium: 'hot',
      ledger: is('back-pressure'),
      label: [898, 383],
      leader: 'M886 384H870',
    },
    {
      id: 'turbine',
      name: 'Turbine',
      icon: 'turbine',
      medium: 'hot',
      ledger: is('turbine temperature'),
      label: [446, 519],
      leader: 'M446 484V506',
    },
    {
      id: 'wastegate',
      name: 'Wastegate',
      icon: 'wastegate',
      medium: 'hot',
      ledger: is('wastegate authority'),
      label: [618, 416],
      oneLine: true,
    },
    car.wideband && {
      id: 'wideband',
      name: 'Wideband',
      icon: 'lambda',
      medium: 'hot',
      ledger: is('wideband range'),
      label: [898, 503],
      leader: 'M836 470L888 500',
    },
    {
      id: 'exhaust',
      name: 'Exhaust',
      icon: 'exhaust',
      medium: 'hot',
      ledger: none,
      label: car.wideband ? null : [898, 503],
      leader: 'M898 469V490',
    },
    ...drivelineParts(car),
  ];
  return {
    car,
    engine,
    driveline,
    parts: parts.filter((part): part is PartPlace => part !== false),
    stations: stationsOf(),
    firstOut: car.driven === 'rear' ? [1236, 128] : car.driven === 'front' ? [1160, 196] : [1142, 190],
  };
};

const stationsOf = (): StationPlace[] => [
  {
    id: 'before-compressor',
    title: 'Before compressor',
    medium: 'air',
    x: 13,
    y: 486,
    leader: 'M185 492.5H292V448',
    tap: [292, 444],
    after: 'filter',
  },
  {
    id: 'after-compressor',
    title: 'After compressor',
    medium: 'air',
    x: 126,
    y: 252,
    leader: 'M298 258.5H306V332',
    tap: [306, 336],
    after: 'compressor',
  },
  {
    id: 'across-cooler',
    title: 'Cooled by',
    medium: 'air',
    x: 104,
    y: 56,
    leader: 'M276 62.5H286V108',
    tap: [286, 112],
    after: 'cooler',
  },
  {
    id: 'manifold',
    title: 'Manifold',
    medium: 'air',
    x: 580,
    y: 14,
    leader: 'M752 20.5H760V108',
    tap: [760, 112],
    after: 'throttle',
  },
  {
    id: 'fuel-rail',
    title: 'Fuel rail',
    medium: 'fuel',
    x: 772,
    y: 14,
    leader: 'M900 86V166',
    tap: [900, 170],
    after: 'pump',
  },
  { id: 'cylinders', title: 'In the cylinders', medium: 'none', x: 1196, y: 486, wider: 16, after: 'pistons' },
  {
    id: 'before-turbine',
    title: 'Before turbine',
    medium: 'hot',
    x: 406,
    y: 298,
    leader: 'M540 368V384',
    tap: [540, 388],
    after: 'exhaust-manifold',
  },
  {
    id: 'after-turbine',
    title: 'After turbine',
    medium: 'hot',
    x: 648,
    y: 488,
    leader: 'M648 494.5H628V448',
    tap: [628, 444],
    after: 'wastegate',
  },
];
