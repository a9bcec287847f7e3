/** All sets of parts of an options file, each as one choice for the flow and one for each side group. */
import { AS_FITTED, type Choice, keepAll, priceOf } from './fit.ts';
import type { PartOptions } from './options.ts';
import type { Split } from './separable.ts';

export interface PartSet {
  readonly choice: Choice;
  readonly price: number;
  /** Places where something is bought. */
  readonly changes: number;
  /** Which flow of {@link AllSets.flows}, and which combination of each side group. */
  readonly flow: number;
  readonly sides: readonly number[];
}

export interface AllSets {
  /** Choices for the flow, with all side groups as they are fitted. */
  readonly flows: readonly Choice[];
  /** Of each side group: its combinations, with everything else as it is fitted; the first changes nothing. */
  readonly sides: readonly (readonly Choice[])[];
  /** Cheapest first; of equal price the one with fewer changes. */
  readonly sets: readonly PartSet[];
}

/** How many sets an options file makes. */
export const countSets = (options: PartOptions): number =>
  options.places.reduce((product, place) => product * (place.options.length + 1), 1);

/** Every combination of some places, the rest as it is fitted; the first changes nothing. */
const combinations = (options: PartOptions, places: readonly number[]): Choice[] => {
  let choices: Choice[] = [keepAll(options)];
  for (const place of places) {
    const here = [AS_FITTED, ...options.places[place]!.options.keys()];
    choices = choices.flatMap((choice) => here.map((option) => choice.with(place, option)));
  }
  return choices;
};

/** Combinations of each side group. */
export const sideChoices = (options: PartOptions, { groups }: Split): Choice[][] =>
  groups.map(({ places }) => combinations(options, places));

/** All sets of a file. */
export const allSets = (options: PartOptions, split: Split): AllSets => {
  const flows = combinations(options, split.flow);
  const sides = sideChoices(options, split);
  let sets: { choice: Choice; flow: number; sides: readonly number[] }[] = flows.map((choice, flow) => ({
    choice,
    flow,
    sides: [],
  }));
  split.groups.forEach(({ places }, group) => {
    sets = sets.flatMap((set) =>
      sides[group]!.map((side, index) => ({
        choice: set.choice.map((option, place) => (places.includes(place) ? side[place]! : option)),
        flow: set.flow,
        sides: [...set.sides, index],
      })),
    );
  });
  return {
    flows,
    sides,
    sets: sets
      .map(
        (set): PartSet => ({
          ...set,
          price: priceOf(options, set.choice),
          changes: set.choice.filter((option) => option !== AS_FITTED).length,
        }),
      )
      .sort((a, b) => a.price - b.price || a.changes - b.changes),
  };
};
