/**
 * The part options file: what could be bought, place by place, with prices. Each option sets fields of the build sheet,
 * written as the sheet writes them; keeping what is fitted is always possible and costs nothing.
 */
import { z } from 'zod';
import { type Build, type BuildProblem, buildSchema, problemsIn, readJson } from '../car/index.ts';

const OPTIONS_SCHEMA = 'boostwright.options/1';

/** Groups of the build sheet that an option may set. What logs have taught is no part that can be bought. */
const GROUPS = [
  'engine',
  'turbocharger',
  'chargeCooler',
  'intake',
  'exhaust',
  'fuel',
  'fuelSystem',
  'injection',
  'sensors',
  'driveline',
  'tyres',
  'body',
  'electrical',
  'targets',
] as const;
export type OptionGroup = (typeof GROUPS)[number];

const objectOf = (group: OptionGroup): z.ZodObject => {
  const schema: z.ZodType = buildSchema.shape[group];
  return (schema instanceof z.ZodOptional ? schema.unwrap() : schema) as z.ZodObject;
};

/** Fields of a build sheet, by group, that an option puts in. */
export type OptionSets = { readonly [G in OptionGroup]?: Readonly<Partial<NonNullable<Build[G]>>> };

const setsSchema = z
  .strictObject(Object.fromEntries(GROUPS.map((group) => [group, objectOf(group).partial().optional()])))
  .refine((sets) => Object.values(sets).some((group) => Object.keys(group ?? {}).length > 0), {
    error: 'expected at least one field of the build sheet that the option sets',
  }) as unknown as z.ZodType<OptionSets>;

const isPlaceOnSheet = (path: string): boolean => {
  const [group, field, more] = path.split('.');
  const known = GROUPS.find((name) => name === group);
  if (!known || more !== undefined) return false;
  return field === undefined || field in objectOf(known).shape;
};

const optionSchema = z.strictObject({
  name: z.string().trim().min(1).max(80),
  /** In the currency of the file. */
  price: z.number({ error: 'expected a price as a number' }).min(0).max(1e9),
  /** What else must be there, in words, like "fuel hoses that stand ethanol". */
  needs: z.string().max(400).optional(),
  note: z.string().max(1000).optional(),
  /** Groups ("turbocharger") or fields ("turbocharger.compressorMap") of the old part that no longer hold. */
  replaces: z
    .array(
      z.string().refine(isPlaceOnSheet, {
        error: (issue) =>
          `expected a group or a field of the build sheet, like "turbocharger" or "turbocharger.compressorMap", got "${String(issue.input)}"`,
      }),
    )
    .max(60)
    .optional(),
  sets: setsSchema,
});

const placeSchema = z.strictObject({
  /** What is fitted there, like "injectors". */
  place: z.string().trim().min(1).max(60),
  options: z.array(optionSchema).min(1).max(20),
});

/** `group.field` of everything that an option sets. */
export const fieldsSet = (option: { readonly sets: OptionSets }): string[] =>
  Object.entries(option.sets).flatMap(([group, fields]) => Object.keys(fields ?? {}).map((name) => `${group}.${name}`));

const doubles = (names: readonly string[]): number[] =>
  names.flatMap((name, index) => (names.indexOf(name) < index ? [index] : []));

const optionsSchema = z
  .strictObject({
    schema: z.literal(OPTIONS_SCHEMA, { error: `expected "${OPTIONS_SCHEMA}"` }),
    name: z.string().min(1).max(120),
    note: z.string().max(2000).optional(),
    /** Free text, like "EUR". */
    currency: z.string().trim().min(1).max(20),
    places: z.array(placeSchema).min(1).max(12),
  })
  .superRefine(({ places }, context) => {
    const refuse = (path: PropertyKey[], message: string) => context.addIssue({ code: 'custom', path, message });
    for (const index of doubles(places.map(({ place }) => place))) {
      refuse(
        ['places', index, 'place'],
        `expected a name of its own; there is a place "${places[index]?.place}" already`,
      );
    }
    const setBy = new Map<string, number>();
    places.forEach(({ options }, at) => {
      for (const index of doubles(options.map(({ name }) => name))) {
        refuse(
          ['places', at, 'options', index, 'name'],
          `expected a name of its own; there is an option "${options[index]?.name}" already`,
        );
      }
      options.forEach((option, index) => {
        for (const path of fieldsSet(option)) {
          const other = setBy.get(path);
          if (other === undefined) setBy.set(path, at);
          else if (other !== at) {
            const [group = '', field = ''] = path.split('.');
            refuse(
              ['places', at, 'options', index, 'sets', group, field],
              `expected each field to be set from one place; "${places[other]?.place}" sets it too`,
            );
          }
        }
      });
    });
  });

/** A checked part options file. */
export type PartOptions = z.infer<typeof optionsSchema>;
export type PartPlace = PartOptions['places'][number];
export type PartOption = PartPlace['options'][number];

export type PartOptionsResult =
  | { readonly ok: true; readonly options: PartOptions }
  | { readonly ok: false; readonly problems: readonly BuildProblem[] };

/** Checks an already parsed JSON value; every problem is listed with its place in the file. */
export const checkPartOptions = (value: unknown): PartOptionsResult => {
  const result = optionsSchema.safeParse(value);
  return result.success
    ? { ok: true, options: result.data }
    : { ok: false, problems: problemsIn(result.error, optionsSchema) };
};

/** Reads the text of a part options file. */
export const parsePartOptions = (text: string): PartOptionsResult => {
  const read = readJson(text);
  if (read.ok) return checkPartOptions(read.value);
  return { ok: false, problems: [{ path: '', says: `not a JSON file (${read.why}); save the part options as JSON` }] };
};

/** The text of a part options file: two spaces, one final line break. */
export const writePartOptions = (options: PartOptions): string => `${JSON.stringify(options, null, 2)}\n`;
