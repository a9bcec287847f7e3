/** A build with chosen parts fitted. */
import { type Build, type BuildProblem, checkBuild } from '../car/index.ts';
import type { PartOption, PartOptions } from './options.ts';

/** For each place of the file in order: the index of its option, or {@link AS_FITTED}. */
export type Choice = readonly number[];

/** Keep what is fitted: always possible, costs nothing. */
export const AS_FITTED = -1;

/** The choice that changes nothing. */
export const keepAll = (options: PartOptions): Choice => options.places.map(() => AS_FITTED);

/** The options of a choice, with null where what is fitted stays. */
export const chosenOptions = (options: PartOptions, choice: Choice): (PartOption | null)[] =>
  options.places.map((place, index) => place.options[choice[index] ?? AS_FITTED] ?? null);

/** Price of a choice, in the currency of the file. */
export const priceOf = (options: PartOptions, choice: Choice): number =>
  chosenOptions(options, choice).reduce((sum, option) => sum + (option?.price ?? 0), 0);

export type FitResult =
  | { readonly ok: true; readonly build: Build }
  | { readonly ok: false; readonly problems: readonly BuildProblem[] };

/**
 * Fits the chosen parts: what they replace goes first, then what they set is put in. The result is checked as any build
 * sheet is; it can fail where parts do not make a whole sheet, like an ethanol blend without its ethanol content.
 */
export const fitParts = (build: Build, options: PartOptions, choice: Choice): FitResult => {
  const fitted = chosenOptions(options, choice).filter((option) => option !== null);
  if (fitted.length === 0) return { ok: true, build };
  const sheet: Record<string, unknown> = { ...build };
  const groupOf = (name: string): Record<string, unknown> => {
    const copy = { ...(sheet[name] as Record<string, unknown> | undefined) };
    sheet[name] = copy;
    return copy;
  };
  for (const path of fitted.flatMap(({ replaces = [] }) => replaces)) {
    const [group = '', field] = path.split('.');
    if (field === undefined) sheet[group] = {};
    else delete groupOf(group)[field];
  }
  for (const { sets } of fitted) {
    for (const [group, fields] of Object.entries(sets)) Object.assign(groupOf(group), fields);
  }
  sheet.name = `${build.name}; with ${fitted.map(({ name }) => name).join(', ')}`.slice(0, 120);
  const checked = checkBuild(sheet);
  // The sheet itself, not the copy that checking makes: a compressor map that stays the same object is fitted once.
  return checked.ok ? { ok: true, build: sheet as unknown as Build } : checked;
};
