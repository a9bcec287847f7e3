/**
 * Which places of an options file change the flow through the car, and which only change what a row of the ledger
 * carries. Injectors do not move the air, and a clutch does not move the fuel: their rows can be worked out once and put
 * together with any other choice, so a search costs the sum of such groups instead of their product.
 *
 * The list says what is expected; the search solves what it proposes whole as well (see `search-plan.ts`), and falls back
 * to the product where the two differ.
 */
import type { PartName } from '../match/index.ts';
import { fieldsSet, type PartOptions } from './options.ts';

/** Rows of the ledger that belong to fields which touch nothing else. */
type Family =
  | 'fuel system'
  | 'clutch'
  | 'gearbox'
  | 'airflow meter'
  | 'manifold pressure sensor'
  | 'boost gauge'
  | 'wideband range'
  | 'tyres';

const FAMILY_OF_FIELD: Readonly<Record<string, Family>> = {
  'driveline.clutchTorqueCapacity': 'clutch',
  'driveline.gearboxTorqueRating': 'gearbox',
  'sensors.airMetering': 'airflow meter',
  'sensors.airflowMeterCeiling': 'airflow meter',
  'sensors.manifoldPressureCeiling': 'manifold pressure sensor',
  'sensors.gaugeCeiling': 'boost gauge',
  'sensors.widebandLowest': 'wideband range',
  'tyres.grip': 'tyres',
};

const familyOfField = (path: string): Family | null =>
  path === 'fuelSystem' || path.startsWith('fuelSystem.') ? 'fuel system' : (FAMILY_OF_FIELD[path] ?? null);

const FUEL_ROWS: readonly PartName[] = ['injectors', 'injectors at idle', 'fuel pump'];
const OWN_ROWS: readonly string[] = [...new Set(Object.values(FAMILY_OF_FIELD))];

const familyOfPart = (part: PartName): Family | undefined => {
  if (FUEL_ROWS.includes(part)) return 'fuel system';
  if (part.startsWith('tyres')) return 'tyres';
  // The other families are named after their only row.
  return OWN_ROWS.includes(part) ? (part as Family) : undefined;
};

/** Places of the file, by index, that belong together because the same rows depend on them. */
export interface SideGroup {
  readonly places: readonly number[];
  readonly holds: (part: PartName) => boolean;
  /** Whether injectors and pump are among them. */
  readonly refuels: boolean;
}

export interface Split {
  /** Places that change the flow: all their combinations are solved. */
  readonly flow: readonly number[];
  readonly groups: readonly SideGroup[];
}

/** Splits the places; those in `together` count as changing the flow whatever they set. */
export const splitPlaces = (options: PartOptions, together: ReadonlySet<number> = new Set()): Split => {
  const flow: number[] = [];
  const groups: { places: number[]; families: Set<Family> }[] = [];
  options.places.forEach((place, index) => {
    const paths = place.options.flatMap((option) => [...fieldsSet(option), ...(option.replaces ?? [])]);
    const families = paths.map(familyOfField);
    const own = new Set(families.filter((family) => family !== null));
    if (together.has(index) || own.size === 0 || families.includes(null)) {
      flow.push(index);
      return;
    }
    const joined = groups.filter((group) => [...own].some((family) => group.families.has(family)));
    for (const group of joined) groups.splice(groups.indexOf(group), 1);
    groups.push({
      places: [...joined.flatMap(({ places }) => places), index].sort((a, b) => a - b),
      families: new Set([...own, ...joined.flatMap(({ families: all }) => [...all])]),
    });
  });
  return {
    flow,
    groups: groups.map(({ places, families }) => ({
      places,
      refuels: families.has('fuel system'),
      holds: (part) => {
        const family = familyOfPart(part);
        return family !== undefined && families.has(family);
      },
    })),
  };
};

/** Rows of the flow: those that no side group holds. */
export const heldByFlow =
  ({ groups }: Split) =>
  (part: PartName): boolean =>
    !groups.some(({ holds }) => holds(part));
