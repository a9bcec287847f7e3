/** Parts that the flow does not feel, put into a solved car: what they change, and the rows that depend on them. */
import { type Car, FIELD_PLACES, type ResolvedBuild } from '../car/index.ts';

/** What one combination of a side group changes on a car, in each sample. */
export interface SideParts {
  /** `group` and SI name of every number that it changes. */
  readonly numbers: readonly (readonly [string, string])[];
  readonly facts: Partial<Car['facts']>;
  readonly typed: readonly string[];
  readonly untyped: readonly string[];
  /** The car as it is but for these parts; its changed numbers are taken over. */
  readonly carAt: (sample: number) => Car;
}

/** What differs between a build as it is and the same with one combination of a side group. */
export const sideParts = (before: ResolvedBuild, after: ResolvedBuild, carAt: (sample: number) => Car): SideParts => {
  const numbers: (readonly [string, string])[] = [];
  const typed: string[] = [];
  const untyped: string[] = [];
  for (const { group, name, siName } of FIELD_PLACES) {
    const path = `${group}.${name}`;
    const [old, fresh] = [before.quantities[path], after.quantities[path]];
    if (!old || !fresh) continue;
    if (old.estimated !== fresh.estimated) (fresh.estimated ? untyped : typed).push(path);
    const same = old.valueSi === fresh.valueSi && old.sdSi === fresh.sdSi && old.source === fresh.source;
    if (!same || old.estimated !== fresh.estimated) numbers.push([group, siName]);
  }
  const facts = Object.fromEntries(
    Object.entries(after.car.facts).filter(
      ([name, value]) =>
        name !== 'name' && JSON.stringify(value) !== JSON.stringify(before.car.facts[name as keyof Car['facts']]),
    ),
  ) as Partial<Car['facts']>;
  return { numbers, facts, typed, untyped, carAt };
};

/** A car of any flow with these parts in it. */
export const withSideParts = (car: Car, { numbers, facts, carAt }: SideParts, sample: number): Car => {
  const from = carAt(sample) as unknown as Record<string, Record<string, number>>;
  const into = { ...car, facts: { ...car.facts, ...facts } } as unknown as Record<string, Record<string, number>>;
  const copied = new Set<string>();
  for (const [group, siName] of numbers) {
    if (!copied.has(group)) {
      into[group] = { ...into[group] };
      copied.add(group);
    }
    into[group]![siName] = from[group]![siName]!;
  }
  return into as unknown as Car;
};

/** The typed paths of a flow with these parts in it. */
export const typedWith = (typed: ReadonlySet<string>, parts: SideParts): ReadonlySet<string> =>
  new Set([...[...typed].filter((path) => !parts.untyped.includes(path)), ...parts.typed]);
